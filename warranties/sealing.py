"""When the seals of a home are due: by its sealing, its last check and what callbacks show."""

from datetime import date
from typing import NamedTuple

from customers.models import Home
from warranties import openings, seals
from warranties.models import Check, Promise


class Due(NamedTuple):
    """The day of the next check, which may have passed, and why then."""

    on: date
    why: str


def next_check(home: Home) -> Due | None:
    """Return the next seal check of a home, None where no promise stands. Four queries."""
    promise = Promise.objects.standing().filter(home=home).order_by("-starts_on").first()
    if promise is None:
        return None
    made = Check.objects.filter(home=home, kind__in=("seal", "both"), done_on__isnull=False)
    last = made.order_by("-done_on").values_list("done_on", flat=True).first()
    step = openings.step_of(home)
    due = seals.next_due(promise.starts_on, checked_on=last, step_months=step.months)
    return Due(due, _why(step))


def _why(step: seals.Step) -> str:
    if step.because is None:
        return "Seals by their age"
    return f"Seals every {step.months} months: {step.because} opens {step.ratio:.1f} times as often"
