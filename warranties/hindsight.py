"""What was foretold of plants at the time, beside what came of it: for judging the forecasts.

Definition. Readings of one plant from one cut to the next are a growth. The forecast is the one
that its readings up to then gave, made anew. Two questions are asked of it. By the day of the
firm's chance, as foretold at the first reading of a growth: did it touch? And by the next reading:
what was the chance that it would be found touching then, and was it? A plant that was clear at one
reading and touches at the next did so half way between, as far as anybody knows.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise

from warranties import growth, trimming
from warranties.calibration import Foretold


def growths(readings: Sequence[growth.Reading]) -> Iterator[list[int]]:
    """Yield the places of the readings of each growth, in order; a cut ends one, begins the next.

    The reading that cuts belongs to both: it ends the one by its clearance.
    """
    first = 0
    for place in range(1, len(readings)):
        if readings[place].trimmed_to_mm is not None:
            yield list(range(first, place + 1))
            first = place
    if readings:
        yield list(range(first, len(readings)))


def foretold_by_day(
    kind: str, readings: Sequence[growth.Reading], chance: float
) -> Iterator[Foretold]:
    """Yield, for each growth, the day of that chance and what is known of it."""
    for places in growths(readings):
        found = trimming.watched(kind, readings[: places[0] + 1], chance)
        if found.opens_on is None or found.estimate.touching:
            continue
        touched_on, clear_until = _outcome([readings[place] for place in places])
        yield Foretold(
            by=found.opens_on,
            chance=chance,
            low=found.earliest_on,
            high=found.latest_on,
            touched_on=touched_on,
            clear_until=clear_until,
        )


def foretold_by_reading(kind: str, readings: Sequence[growth.Reading]) -> Iterator[Foretold]:
    """Yield, for each measured reading, the chance that it would be found touching, and whether."""
    for places in growths(readings):
        for before, after in pairwise(places):
            clearance = readings[after].clearance_mm
            known = growth.learn(
                readings[: before + 1], trimming.prior_of(kind), trimming.season_of(kind)
            )
            if clearance is None or known.touching:
                continue
            day = readings[after].on
            touches = clearance <= 0
            yield Foretold(
                by=day,
                chance=growth.chance_by(known, day),
                touched_on=day if touches else None,
                clear_until=None if touches else day,
            )


def _outcome(readings: Sequence[growth.Reading]) -> tuple[date | None, date]:
    """When it touched, if it was found so, and the last day on which it was known to be clear."""
    clear_until = readings[0].on
    for each in readings[1:]:
        if each.clearance_mm is None:
            continue  # Cut without measuring: nobody knows how it stood.
        if each.clearance_mm <= 0:
            return clear_until + (each.on - clear_until) / 2, clear_until
        clear_until = each.on
    return None, clear_until
