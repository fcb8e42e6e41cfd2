"""When the seals of a home are due: by sealing, age, last check and what callbacks show."""

from datetime import date
from typing import NamedTuple

from customers.models import Home
from warranties import openings, seals, sealyears
from warranties.models import Check, Promise


class Due(NamedTuple):
    """The day of the next check, which may have passed, and the step that led to it."""

    on: date
    step: seals.Step[openings.Group]


def next_check(home: Home, *, today: date) -> Due | None:
    """Return the next seal check of a home, None where no promise stands. Four queries."""
    promise = Promise.objects.standing().filter(home=home).order_by("-starts_on").first()
    if promise is None:
        return None
    made = Check.objects.filter(home=home, kind__in=("seal", "both"), done_on__isnull=False)
    last = made.order_by("-done_on").values_list("done_on", flat=True).first()
    step = openings.step_of(home, age=sealyears.band_on(promise.starts_on, today))
    due = seals.next_due(promise.starts_on, checked_on=last, step_months=step.months)
    return Due(due, step)
