"""The interval of a forecast against plants grown by chance.

An independent computation: nothing of warranties.growth is used but the answer that is checked.
It settles a difference. A count by hand for a lantana 12 inches clear on 25 November gave 7 May to
8 October, the forecast says 23 April to 28 November. The hand had only the spread of rates among
plants; the forecast also knows that years differ (a quarter of the rate) and that a reading may be
half an inch off. Grown with the first alone, a tenth and nine tenths touch on the hand's
days; grown with all three, on the forecast's. The hand's days hold two contacts of three, not
eight of ten: it was the hand that left something out.
"""

from calendar import monthrange
from datetime import date, timedelta

import numpy as np
import pytest

from warranties import trimming
from warranties.growth import Reading

READ_ON = date(2025, 11, 25)
CLEAR_MM = 12 * 25.4
# Lantana: 24 to 36 inches a year, growing in spring, summer and fall (growth/kinds.py).
MEAN_MM = 30 * 25.4
AMONG_PLANTS_MM = 0.4 * MEAN_MM
AMONG_YEARS_MM = 0.25 * MEAN_MM
TAPE_MM = 13.0
GROWING_MONTHS = range(3, 12)
PLANTS = 200_000


def share_touching(day: date, *, years_differ: bool) -> float:
    """Return the share of the plants that touch by the start of a day.

    Each has its own rate. What it grows besides comes by chance: gamma, for no plant shrinks,
    unlike the normal that the forecast reckons with.
    """
    chance = np.random.default_rng(20261125)
    years = growing_years(READ_ON, day)
    rate = chance.normal(MEAN_MM, AMONG_PLANTS_MM, PLANTS)
    if not years_differ:
        return float(np.mean(rate * years >= CLEAR_MM))
    clear = chance.normal(CLEAR_MM, TAPE_MM, PLANTS)
    growing = np.maximum(rate, 1)
    scale = AMONG_YEARS_MM**2 / growing
    return float(np.mean(chance.gamma(growing * years / scale, scale) >= clear))


def growing_years(start: date, end: date) -> float:
    """Count day by day: a growing month has its ninth of a growing year, spread evenly."""
    days = (start + timedelta(days=number) for number in range((end - start).days))
    return sum(
        1 / len(GROWING_MONTHS) / monthrange(day.year, day.month)[1]
        for day in days
        if day.month in GROWING_MONTHS
    )


def test_the_forecasts_interval_is_that_of_plants_grown_by_chance() -> None:
    found = trimming.watched("lantana", [Reading(READ_ON, CLEAR_MM)], chance=0.1)

    low = share_touching(date(2026, 4, 23), years_differ=True)
    high = share_touching(date(2026, 11, 28), years_differ=True)

    assert (found.earliest_on, found.latest_on) == (date(2026, 4, 23), date(2026, 11, 28))
    assert (low, high) == pytest.approx((0.1, 0.9), abs=0.015)


def test_the_hands_interval_is_that_of_plants_whose_years_are_all_alike() -> None:
    by_hand = (date(2026, 5, 7), date(2026, 10, 8))

    alike = [share_touching(day, years_differ=False) for day in by_hand]
    really = [share_touching(day, years_differ=True) for day in by_hand]

    assert alike == pytest.approx([0.1, 0.9], abs=0.01)
    assert really == pytest.approx([0.21, 0.85], abs=0.015)
