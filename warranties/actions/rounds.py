"""A round of checks: a crew at one home after the other, booked in one go or not at all."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction

from customers.models import Home
from jobs.actions import booking
from jobs.models import Booking, Crew
from shared.models import User
from shared.refusals import Refused
from warranties.actions.checking import take_calls_on
from warranties.models import Check

SOON = timedelta(days=30)  # A check that is due this much later is made on the way.


@dataclass(frozen=True, kw_only=True)
class Round:
    """Who drives, from when; how long each stop takes, and the way to the next."""

    crew: Crew
    starts_at: datetime
    stop: timedelta
    between: timedelta


class RoundRefused(Refused):
    """Nothing was booked. `reasons` say why, a line for each home that does not fit."""

    def __init__(self, reasons: list[str]) -> None:
        super().__init__(" ".join(reasons))
        self.reasons = reasons


@transaction.atomic
def book_round(*, homes: Sequence[Home], plan: Round, by: User, at: datetime) -> list[Booking]:
    """Book a check at each home in that order; their open checks and calls for help go along.

    Raises RoundRefused where one stop cannot be; then none is booked.
    """
    if not homes:
        raise RoundRefused(["Choose at least one home."])
    booked, reasons = [], []
    starts_at = plan.starts_at
    for home in homes:
        try:
            booked.append(_book(home, plan, starts_at, at))
        except booking.NotBookable as refusal:
            reasons.append(f"{home.street}: {refusal}")
        starts_at += plan.stop + plan.between
    if reasons:
        raise RoundRefused(reasons)
    for visit in booked:
        _take_along(visit, by, at)
    return booked


def _book(home: Home, plan: Round, starts_at: datetime, at: datetime) -> Booking:
    return booking.book(
        crew=plan.crew,
        home=home,
        purpose="check",
        starts_at=starts_at,
        ends_at=starts_at + plan.stop,
        at=at,
    )


def _take_along(visit: Booking, by: User, at: datetime) -> None:
    """The checks that are due by then are made at this visit; who asked for help gets it."""
    due_by = visit.starts_at.astimezone(visit.home.tz).date() + SOON
    due = Check.objects.filter(home=visit.home, done_on=None, booking=None, due_on__lte=due_by)
    due.update(booking=visit)
    take_calls_on(home=visit.home, by=by, at=at)
