"""When the seals of a home are due for a check, from its sealing and its last check."""

from datetime import date
from typing import NamedTuple

from customers.models import Home
from warranties import seals
from warranties.models import Check, Promise


class Due(NamedTuple):
    """The day of the next check, which may have passed, and why then."""

    on: date
    why: str


def next_check(home: Home) -> Due | None:
    """Return the next seal check of a home, None where no promise stands. Two queries."""
    promise = Promise.objects.standing().filter(home=home).order_by("-starts_on").first()
    if promise is None:
        return None
    made = Check.objects.filter(home=home, kind__in=("seal", "both"), done_on__isnull=False)
    last = made.order_by("-done_on").values_list("done_on", flat=True).first()
    return Due(seals.next_due(promise.starts_on, checked_on=last), "Seals by their age")
