"""What warranties tells in a home's story. Each function is registered in receivers.py."""

from collections.abc import Iterator

from customers.models import Home
from customers.story import StoryEntry
from warranties.models import Callback


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
