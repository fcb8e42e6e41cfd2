"""Lists of warranties."""

from typing import Any

import django_tables2
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from customers.tables import national
from shared.tables import Table
from warranties.models import Notice

WIDE = {"cell": {"class": "wide"}}  # left out on a telephone


class CallbackTable(Table):
    """Callbacks from CallbackQuerySet.for_a_page, newest first."""

    number = django_tables2.Column(_("Callback"), orderable=False, linkify=True)
    reported_at = django_tables2.Column(_("Reported"), orderable=False)
    home = django_tables2.Column(_("Home"), accessor="promise__home__street", orderable=False)
    promise = django_tables2.Column(
        _("Promise"), accessor="promise__number", orderable=False, attrs=WIDE
    )
    cause = django_tables2.Column(
        _("Cause"), accessor="get_cause_display", orderable=False, attrs=WIDE
    )
    decision = django_tables2.Column(
        _("Decision"), accessor="get_decision_display", orderable=False, attrs=WIDE
    )
    stage = django_tables2.Column(_("Stands"), orderable=False)

    class Meta:
        caption = _("Callbacks, newest first")

    def render_stage(self, record: Any) -> SafeString:
        shape = "done" if record.closed_at else "soon" if record.decision else "open"
        return format_html('<span class="state {}">{}</span>', shape, record.stage)


class PromiseTable(Table):
    """Promises with home and holder loaded, newest first."""

    number = django_tables2.Column("Promise", orderable=False, linkify=True)
    home = django_tables2.Column("Home", accessor="home__street", orderable=False)
    holder = django_tables2.Column("Held by", accessor="holder__name", orderable=False, attrs=WIDE)
    starts_on = django_tables2.Column("In force from", orderable=False, attrs=WIDE)
    basis = django_tables2.Column(
        "Lasts", accessor="get_basis_display", orderable=False, attrs=WIDE
    )
    state = django_tables2.Column("Stands", orderable=False)

    class Meta:
        caption = "Promises, newest first"

    def render_state(self, record: Any) -> SafeString:
        shape = {"in-force": "done", "suspended": "soon"}.get(record.state, "overdue")
        return format_html('<span class="state {}">{}</span>', shape, record.get_state_display())


class WatchTable(Table):
    """WatchRows, what opens first before the rest: the order is the pages' own."""

    pick = django_tables2.Column("Visit", empty_values=(), orderable=False)
    word = django_tables2.Column("Opens by", orderable=False)
    home = django_tables2.Column(
        "Home", accessor="watch__plant__home", orderable=False, linkify=True
    )
    plant = django_tables2.Column("Plant", accessor="watch__plant", orderable=False)
    who = django_tables2.Column("Who", orderable=False, attrs=WIDE)
    what = django_tables2.Column("Does what", orderable=False, attrs=WIDE)
    holder = django_tables2.Column(
        "Household", accessor="watch__holder", orderable=False, attrs=WIDE
    )
    act = django_tables2.Column("Act", empty_values=(), orderable=False)

    class Meta:
        folds = True
        caption = "Watched plants, most urgent first"

    def render_pick(self, record: Any) -> SafeString:
        """A box of the page's form "round"."""
        home = record.watch.plant.home
        return format_html(
            '<input type="checkbox" form="round" name="home" value="{}" aria-label="Visit {}">',
            home.pk,
            home.street,
        )

    def render_act(self, record: Any) -> SafeString:
        """A button of the page's one form "book-check"."""
        home = record.watch.plant.home
        return format_html(
            '<button form="book-check" formaction="{}" aria-label="Book a check at {}">'
            "Book a check</button>",
            reverse("watch-check", args=[home.pk]),
            home.street,
        )

    def render_word(self, record: Any) -> SafeString:
        return format_html(
            '<span class="state {}" title="{}">{}</span>',
            record.state,
            record.forecast,
            record.word,
        )

    def render_home(self, value: Any) -> str:
        return str(value.street)

    def render_plant(self, record: Any) -> SafeString:
        """On to the readings of the plant's home."""
        plant = record.watch.plant
        address = reverse("readings", args=[plant.home_id])
        return format_html('<a href="{}#plant-{}">{}</a>', address, plant.pk, capfirst(str(plant)))

    def render_holder(self, record: Any) -> SafeString:
        phone = record.watch.phone
        if not phone:
            return format_html("{}", record.watch.holder)
        return format_html(
            '{} <a href="tel:{}">{}</a>', record.watch.holder, phone, national(str(phone))
        )


class NoticeTable(Table):
    """Notices, newest first."""

    send_at = django_tables2.Column("When", orderable=False)
    household = django_tables2.Column("Household", orderable=False, attrs=WIDE)
    home = django_tables2.Column("Home", orderable=False, linkify=True)
    kind = django_tables2.Column("About", accessor="get_kind_display", orderable=False)
    channel = django_tables2.Column(
        "Over", accessor="get_channel_display", orderable=False, attrs=WIDE
    )
    state = django_tables2.Column("Stands", orderable=False)
    answer = django_tables2.Column(
        "Answer", accessor="get_answer_display", orderable=False, attrs=WIDE
    )

    class Meta:
        folds = True
        caption = "Notices, newest first"

    def render_send_at(self, record: Notice) -> str:
        moment = (record.sent_at or record.send_at).astimezone(record.home.tz)
        return date_format(moment, "j M Y, H:i")

    def render_home(self, value: Any) -> str:
        return str(value.street)

    def render_state(self, record: Notice) -> SafeString:
        shapes = {"sent": "done", "held": "open", "planned": "soon", "claimed": "soon"}
        words = record.get_state_display()
        if record.state_reason:
            words = f"{words}: {record.state_reason}"
        return format_html('<span class="state {}"></span>{}', shapes.get(record.state, ""), words)


class LotHomeTable(Table):
    """Promises from recalling.promises_with: the homes where a lot is."""

    home = django_tables2.Column("Home", accessor="home__street", orderable=False, linkify=True)
    holder = django_tables2.Column("Household", orderable=False, attrs=WIDE)
    number = django_tables2.Column("Promise", orderable=False, linkify=True)
    fitted = django_tables2.Column("Fitted on", accessor="starts_on", orderable=False)
    check = django_tables2.Column("Recall check", empty_values=(), orderable=False)

    class Meta:
        folds = True
        caption = "Homes with this lot"

    def render_check(self, record: Any) -> SafeString:
        shape, words = recall_state(record)
        return format_html('<span class="state {}">{}</span>', shape, words)


def recall_state(promise: Any) -> tuple[str, str]:
    """How far the recall is at a home: a shape of state and its words."""
    if promise.checked_on:
        return "done", f"checked on {date_format(promise.checked_on)}"
    if promise.check_due:
        return "soon", f"due by {date_format(promise.check_due)}"
    return "", "none planned"


def lot_home_row(promise: Any) -> tuple[object, ...]:
    """One row of the export of a lot's homes."""
    home = promise.home
    return (
        home.street,
        home.city,
        promise.holder.name,
        str(promise.holder.phone),
        promise.number,
        promise.starts_on,
        recall_state(promise)[1],
    )
