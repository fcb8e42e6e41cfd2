"""What warranties tells in a home's story. Each function is registered in receivers.py."""

from collections.abc import Iterator

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from customers.models import Home
from customers.story import StoryEntry
from warranties.models import Announced, Callback, PromiseChange


def callbacks_of(home: Home) -> Iterator[StoryEntry]:
    """Reported, looked at where a seal opened, decided, closed. One query."""
    for each in Callback.objects.filter(promise__home=home).select_related("detail"):
        address = each.get_absolute_url()
        yield StoryEntry(
            each.reported_at,
            _("Callback {number}: {report}").format(number=each.number, report=each.report),
            address,
            "callback",
        )
        if each.found_at and each.detail and each.is_a_seals:
            text = _("Callback {number}: the seal opened at {detail}.")
            said = text.format(number=each.number, detail=each.detail)
            yield StoryEntry(each.found_at, said, address, "callback")
        if each.decided_at:
            yield StoryEntry(
                each.decided_at,
                _("Callback {number} is {decision}: {cause}. {reason}").format(
                    number=each.number,
                    decision=each.get_decision_display(),
                    cause=each.get_cause_display(),
                    reason=each.reason,
                ),
                address,
                "callback",
            )
        if each.closed_at:
            yield StoryEntry(
                each.closed_at,
                _("Callback {number} closed: {remedy}").format(
                    number=each.number, remedy=each.remedy
                ),
                address,
                "callback",
            )


def works_of(home: Home) -> Iterator[StoryEntry]:
    """Work that was announced. One query."""
    for each in Announced.objects.filter(home=home, dropped_at=None):
        address = reverse("works", args=[home.pk])
        text = _("Announced: {work}, {day}. {note}").format(
            work=each.get_work_display(), day=date_format(each.on), note=each.note
        )
        yield StoryEntry(each.told_at, text.strip(), address, "work")


def promises_of(home: Home) -> Iterator[StoryEntry]:
    """What happened to the home's promises. One query."""
    changes = PromiseChange.objects.filter(promise__home=home).select_related("promise")
    for change in changes:
        number = change.promise.number
        text = _("Promise {number} {what}. {reason}").format(
            number=number, what=change.get_kind_display(), reason=change.reason
        )
        yield StoryEntry(change.at, text.strip(), change.promise.get_absolute_url(), "promise")
