"""How a promise is found when a household calls: by its number, or by the home and its people."""

from customers.finding import homes_found
from warranties.models import Promise

MOST = 20


def promises_found(asked: str) -> list[Promise]:
    """Return at most 20 promises, those that still stand first; none for nothing asked."""
    asked = asked.strip()
    if not asked:
        return []
    shown = Promise.objects.select_related("home", "holder")
    if by_number := list(shown.filter(number__iexact=asked)):
        return by_number
    homes = list(homes_found(asked).values_list("pk", flat=True)[:MOST])
    found = shown.filter(home__in=homes).order_by("home__street", "-pk")[:MOST]
    return sorted(found, key=lambda promise: promise.state == "ended")
