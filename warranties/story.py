"""What warranties tells in a home's story. Each function is registered in receivers.py."""

from collections.abc import Iterator

from django.urls import reverse

from customers.models import Home
from customers.story import StoryEntry
from warranties.models import Announced, Callback, PromiseChange


def callbacks_of(home: Home) -> Iterator[StoryEntry]:
    """Reported, decided, closed. One query."""
    for each in Callback.objects.filter(promise__home=home):
        address = each.get_absolute_url()
        yield StoryEntry(
            each.reported_at, f"Callback {each.number}: {each.report}", address, "callback"
        )
        if each.decided_at:
            yield StoryEntry(
                each.decided_at,
                f"Callback {each.number} is {each.get_decision_display()}: "
                f"{each.get_cause_display()}. {each.reason}",
                address,
                "callback",
            )
        if each.closed_at:
            yield StoryEntry(
                each.closed_at, f"Callback {each.number} closed: {each.remedy}", address, "callback"
            )


def works_of(home: Home) -> Iterator[StoryEntry]:
    """Work that was announced. One query."""
    for each in Announced.objects.filter(home=home, dropped_at=None):
        address = reverse("works", args=[home.pk])
        text = f"Announced: {each.get_work_display()}, {each.on:%Y-%m-%d}. {each.note}".strip()
        yield StoryEntry(each.told_at, text, address, "work")


def promises_of(home: Home) -> Iterator[StoryEntry]:
    """What happened to the home's promises. One query."""
    changes = PromiseChange.objects.filter(promise__home=home).select_related("promise")
    for change in changes:
        number = change.promise.number
        text = f"Promise {number} {change.get_kind_display()}. {change.reason}".strip()
        yield StoryEntry(change.at, text, change.promise.get_absolute_url(), "promise")
