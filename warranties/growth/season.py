"""The share of a growing year that lies between two days.

Definition. Every calendar year holds one growing year, spread over its days by a monthly calendar
or by degree days. A day counts from its start: growth by 1 July is all that grew before it.

Degree days of one day, from its low and high in Fahrenheit, over a base and under a top:
mean      max(0, (high + low) / 2 - base)
capped    the same, low and high first brought between base and top (the 86/50 method)
triangle  mean of the temperature above base, cut off at top, going straight from low to high
sine      the same along a sine
Sources: engineering.md 4.3 (MRCC, Iowa State, UC IPM); Zalom et al. 1983 for triangle and sine.
"""

from __future__ import annotations

import math
from calendar import isleap, monthrange
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

import numpy as np
import numpy.typing as npt

FIRST_DAY = date(2000, 1, 1)
LAST_YEAR = 2199
MONTHS = 12
SEASONS = {
    "winter": (12, 1, 2),
    "spring": (3, 4, 5),
    "summer": (6, 7, 8),
    "fall": (9, 10, 11),
}


def active_months(words: str) -> frozenset[int]:
    """Return the months of USDA's "active growth period", such as "Spring, Summer, Fall".

    Meteorological seasons of the northern half; "Year Round" is all twelve.
    """
    lower = words.lower()
    if "year round" in lower:
        return frozenset(range(1, MONTHS + 1))
    months = frozenset(m for name, three in SEASONS.items() if name in lower for m in three)
    if not months:
        raise ValueError(f"no season is named in {words!r}")
    return months


def _mean(low: float, high: float, base: float, _top: float) -> float:
    return max(0.0, (high + low) / 2 - base)


def _capped(low: float, high: float, base: float, top: float) -> float:
    return (min(max(low, base), top) + min(max(high, base), top)) / 2 - base


def _area_above(low: float, high: float, level: float) -> float:
    """Mean height above level of a straight climb from low to high."""
    if low == high:
        return max(0.0, high - level)
    above = max(0.0, high - level) ** 2 - max(0.0, low - level) ** 2
    return above / (2 * (high - low))


def _triangle(low: float, high: float, base: float, top: float) -> float:
    return _area_above(low, high, base) - _area_above(low, high, top)


def _sine_above(low: float, high: float, level: float) -> float:
    """Mean height above level of a sine between low and high."""
    middle, swing = (high + low) / 2, (high - low) / 2
    if low >= level:
        return middle - level
    if high <= level:
        return 0.0
    angle = math.asin((level - middle) / swing)
    return ((middle - level) * (math.pi / 2 - angle) + swing * math.cos(angle)) / math.pi


def _sine(low: float, high: float, base: float, top: float) -> float:
    return _sine_above(low, high, base) - _sine_above(low, high, top)


METHODS: dict[str, Callable[[float, float, float, float], float]] = {
    "mean": _mean,
    "capped": _capped,
    "triangle": _triangle,
    "sine": _sine,
}


def degree_days(
    low_f: float, high_f: float, *, base_f: float = 50, top_f: float = 86, method: str = "capped"
) -> float:
    """Return the degree days of one day, in Fahrenheit; top_f means nothing to "mean"."""
    if low_f > high_f:
        raise ValueError(f"the low of {low_f} F lies above the high of {high_f} F")
    return METHODS[method](low_f, high_f, base_f, top_f)


@dataclass(frozen=True, eq=False)
class Season:
    """How one growing year is spread over the days of a year of 365 days and of one of 366."""

    common: tuple[float, ...] = field(repr=False)
    leap: tuple[float, ...] = field(repr=False)

    @classmethod
    def monthly(cls, weights: Sequence[float]) -> Season:
        """Return a season from twelve weights, January first, each spread evenly in its month."""
        if len(weights) != MONTHS or min(weights) < 0 or sum(weights) <= 0:
            raise ValueError("a growing calendar is twelve weights, none negative, not all zero")
        common, leap = (
            tuple(
                weights[month - 1] / sum(weights) / days
                for month in range(1, MONTHS + 1)
                for days in [monthrange(year, month)[1]]
                for _ in range(days)
            )
            for year in (2001, 2004)
        )
        return cls(common, leap)

    @classmethod
    def months(cls, active: Iterable[int]) -> Season:
        """Return a season with even growth in the months named (1 is January)."""
        wanted = set(active)
        return cls.monthly([float(month in wanted) for month in range(1, MONTHS + 1)])

    @classmethod
    def of_temperatures(
        cls,
        days: Iterable[tuple[date, float, float]],
        *,
        base_f: float = 50,
        top_f: float = 86,
        method: str = "capped",
    ) -> Season:
        """Return a season from a year or more of (day, low F, high F), by degree days.

        Several years are averaged by day of the year; 29 February takes what 28 February has.
        """
        heat: dict[tuple[int, int], list[float]] = {}
        for day, low, high in days:
            grown = degree_days(low, high, base_f=base_f, top_f=top_f, method=method)
            heat.setdefault((day.month, day.day), []).append(grown)
        heat[2, 29] = heat.get((2, 29)) or heat.get((2, 28), [])
        by_day = [sum(found) / len(found) for _, found in sorted(heat.items()) if found]
        if len(by_day) != 366:  # noqa: PLR2004 (a leap year)
            raise ValueError(f"a year of temperatures is needed; {len(by_day)} days are here")
        without = by_day[:59] + by_day[60:]
        if sum(without) <= 0:
            raise ValueError("it is never warm enough to grow in these temperatures")
        return cls(
            tuple(heat_of / sum(without) for heat_of in without),
            tuple(heat_of / sum(by_day) for heat_of in by_day),
        )

    @cached_property
    def grown_by(self) -> npt.NDArray[np.float64]:
        """Growing years by the start of each day since FIRST_DAY, to the end of LAST_YEAR."""
        years = range(FIRST_DAY.year, LAST_YEAR + 1)
        shares = [
            start + np.concatenate([[0.0], np.cumsum(self.leap if isleap(year) else self.common)])
            for start, year in enumerate(years)
        ]
        # Rounding keeps winter flat: without it the sum of a year may pass the next by 1e-16.
        return np.round(np.concatenate([share[:-1] for share in shares]), 12)

    def between(self, start: date, end: date) -> float:
        """Return the growing years from the start of one day to the start of another."""
        return float(self.grown_by[day_number(end)] - self.grown_by[day_number(start)])


def day_number(day: date) -> int:
    """Return the place of a day in Season.grown_by. Refuses days before 2000 or after 2199."""
    if not FIRST_DAY.year <= day.year <= LAST_YEAR:
        raise ValueError(f"{day:%Y-%m-%d} lies outside {FIRST_DAY.year} to {LAST_YEAR}")
    return day.toordinal() - FIRST_DAY.toordinal()
