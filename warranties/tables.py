"""Lists of warranties."""

from typing import Any

import django_tables2
from django.utils.html import format_html
from django.utils.safestring import SafeString

from shared.tables import Table


class CallbackTable(Table):
    """Callbacks from CallbackQuerySet.for_a_page, newest first."""

    number = django_tables2.Column("Callback", orderable=False, linkify=True)
    reported_at = django_tables2.Column("Reported", orderable=False)
    home = django_tables2.Column("Home", accessor="promise__home__street", orderable=False)
    promise = django_tables2.Column("Promise", accessor="promise__number", orderable=False)
    cause = django_tables2.Column("Cause", accessor="get_cause_display", orderable=False)
    decision = django_tables2.Column("Decision", accessor="get_decision_display", orderable=False)
    stage = django_tables2.Column("Stands", orderable=False)

    class Meta:
        caption = "Callbacks, newest first"

    def render_stage(self, record: Any) -> SafeString:
        shape = "done" if record.closed_at else "soon" if record.decision else "open"
        return format_html('<span class="state {}">{}</span>', shape, record.stage)


class PromiseTable(Table):
    """Promises with home and holder loaded, newest first."""

    number = django_tables2.Column("Promise", orderable=False, linkify=True)
    home = django_tables2.Column("Home", accessor="home__street", orderable=False)
    holder = django_tables2.Column("Held by", accessor="holder__name", orderable=False)
    starts_on = django_tables2.Column("In force from", orderable=False)
    basis = django_tables2.Column("Lasts", accessor="get_basis_display", orderable=False)
    state = django_tables2.Column("Stands", orderable=False)

    class Meta:
        caption = "Promises, newest first"

    def render_state(self, record: Any) -> SafeString:
        shape = {"in-force": "done", "suspended": "soon"}.get(record.state, "overdue")
        return format_html('<span class="state {}">{}</span>', shape, record.get_state_display())
