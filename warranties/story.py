"""What warranties tells of a home. Each function is a source of customers.story."""

from collections.abc import Iterator

from customers.models import Home
from customers.story import StoryEntry, register
from warranties.models import Callback


@register
def callbacks(home: Home) -> Iterator[StoryEntry]:
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
