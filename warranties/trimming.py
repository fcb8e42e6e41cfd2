"""What is made of a plant's readings, and when its household hears of it.

Definition. Readings and the kind's prior give the day by which the plant touches with the firm's
chance, and the days between which it touches with 80 %. The household hears a first, a second and
a last time, each so many days ahead; whatever falls due in the same week, Monday to Sunday, is
told at once, so that a home with many plants gets a letter a week at most. Only the last reminder
that is due counts: one that was missed is not made up for.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from functools import lru_cache
from itertools import pairwise

from shared.length import Length
from warranties.growth import (
    KINDS,
    Estimate,
    Prior,
    Reading,
    Season,
    active_months,
    check_reading,
    contact_on,
    interval_of,
    learn,
    prior_of_class,
    prior_of_kind,
)
from warranties.growth.kinds import LONG

UNKNOWN_CLASS = "medium"  # What is believed of a plant whose kind is not in the table.
SUNDAY = 6
INCH_MM = Decimal("25.4")
FEW_INCHES = 36  # Up to here a person says inches, then feet and inches.
INCHES = {"en": "inches", "es": "pulgadas"}


@dataclass(frozen=True, slots=True)
class Watched:
    """An empty day is never."""

    estimate: Estimate
    opens_on: date | None
    earliest_on: date | None
    latest_on: date | None


def watched(kind: str, readings: Iterable[Reading], chance: float) -> Watched:
    """Return what the readings come to. Raises growth.OddReading as growth.learn does."""
    estimate = learn(readings, prior_of(kind), season_of(kind))
    earliest, latest = interval_of(estimate)
    return Watched(estimate, contact_on(estimate, chance), earliest, latest)


def ask(kind: str, reading: Reading, earlier: Iterable[Reading], *, today: date) -> None:
    """Raise growth.OddReading where the reading should be asked about before it is kept."""
    check_reading(reading, earlier, prior_of(kind), season_of(kind), today=today)


def prior_of(kind: str) -> Prior:
    known = KINDS.get(kind)
    return prior_of_kind(known) if known else prior_of_class(UNKNOWN_CLASS)


def season_of(kind: str) -> Season:
    """Return the kind's growing calendar by months."""
    known = KINDS.get(kind)
    return _calendar(known.active if known else LONG)


@lru_cache
def _calendar(active: str) -> Season:
    """One Season for each calendar: plants that share it share its table of 200 years."""
    return Season.months(active_months(active))


def horizons(today: date, leads: Sequence[int]) -> list[date]:
    """Return for each reminder the last contact day that it speaks of: a Sunday.

    `leads` are days ahead, the first reminder's first: [42, 21, 7].
    """
    if not leads or any(later >= sooner for sooner, later in pairwise(leads)):
        raise ValueError("each reminder comes fewer days ahead than the one before it")
    days = (today + timedelta(days=lead) for lead in leads)
    return [day + timedelta(days=SUNDAY - day.weekday()) for day in days]


def clear_words(needs_mm: Decimal, *, units: str, language: str) -> str:
    """Return how far a plant is cut back, as a tape shows it: "12 inches", "30 cm"."""
    if units != "imperial":
        return f"{needs_mm / 10:.0f} cm"
    inches = (needs_mm / INCH_MM).to_integral_value()
    if inches > FEW_INCHES:
        return Length(inches * INCH_MM).feet_inches()
    return f"{inches} {INCHES[language]}"
