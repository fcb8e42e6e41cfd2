"""Whether forecasts of contact come true as often as they say.

Definition. A forecast says that a plant touches by a day with some chance, and between two days
with some coverage. It is settled once the plant was found touching by that day or seen clear on or
after it; a plant cut back before is censored: its day is not known. Counts are judged by the exact
binomial interval (Clopper and Pearson), for five of five at 80 % proves little.
Brier: mean of (chance - outcome)^2, on the scale from 0 to 1 (Brier's own table doubles it);
censored as Graf et al. 1999, Stat. Med. 18:2529, each known outcome weighted by the chance of not
having been cut back before. Interval score: width plus 2/alpha for every day outside (Winkler).
Sources: ../shared/standards/statistics.md section 8.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


class Share(NamedTuple):
    """How many of how many, with the exact 95 % interval of the share; no share of none."""

    hits: int
    of: int
    share: float | None
    low: float
    high: float


def share(hits: int, of: int, *, confidence: float = 0.95) -> Share:
    """Return hits of so many as a share with its exact binomial interval."""
    if not 0 <= hits <= of:
        raise ValueError(f"{hits} of {of} is no share")
    from scipy.special import betaincinv  # noqa: PLC0415  # takes 0.1 s: only this wants it

    tail = (1 - confidence) / 2
    low = float(betaincinv(hits, of - hits + 1, tail)) if hits else 0.0
    high = float(betaincinv(hits + 1, of - hits, 1 - tail)) if hits < of else 1.0
    return Share(hits, of, hits / of if of else None, low, high)


@dataclass(frozen=True, slots=True)
class Foretold:
    """One forecast and what came of it.

    touched_on: when it was found touching, or the middle of the time in which it must have.
    clear_until: the last day on which it was known not to touch, a trim-back included.
    """

    by: date
    chance: float
    low: date | None = None
    high: date | None = None
    touched_on: date | None = None
    clear_until: date | None = None

    @property
    def came_true(self) -> bool | None:
        """Whether it touched by the day, or None where a trim-back left that unknown."""
        if self.touched_on is not None:
            return self.touched_on <= self.by
        if self.clear_until is not None and self.clear_until >= self.by:
            return False
        return None

    @property
    def caught(self) -> bool | None:
        """Whether contact fell within the interval, or None where it never came."""
        if self.touched_on is None or self.low is None:
            return None
        return self.low <= self.touched_on and (self.high is None or self.touched_on <= self.high)


class Bin(NamedTuple):
    """Forecasts of like chance: their mean chance, and how many came true."""

    chance: float
    came_true: Share


class Calibration(NamedTuple):
    """What a firm's forecasts were worth. brier is None while nothing is settled."""

    came_true: Share
    caught: Share
    brier: float | None
    bins: list[Bin]
    unsettled: int


BIN_EDGES = (0.05, 0.15, 0.3, 0.5, 0.7, 0.9)


def calibration(foretold: Iterable[Foretold]) -> Calibration:
    """Return how forecasts came true. Give forecasts of one chance to judge that chance alone.

    Unsettled forecasts are only counted. Where many are, the share that came true is too high,
    since plants that touch early are found before they are cut: see censored_brier_score.
    """
    rows = list(foretold)
    settled = [(row.chance, row.came_true) for row in rows if row.came_true is not None]
    caught = [row.caught for row in rows if row.caught is not None]
    return Calibration(
        came_true=share(sum(true for _, true in settled), len(settled)),
        caught=share(sum(caught), len(caught)),
        brier=brier_score(*zip(*settled, strict=True)) if settled else None,
        bins=_bins(settled),
        unsettled=len(rows) - len(settled),
    )


def _bins(settled: Sequence[tuple[float, bool]]) -> list[Bin]:
    places = np.digitize([chance for chance, _ in settled], BIN_EDGES)
    return [
        Bin(
            sum(chance for chance, _ in rows) / len(rows),
            share(sum(true for _, true in rows), len(rows)),
        )
        for place in range(len(BIN_EDGES) + 1)
        if (rows := [row for row, found in zip(settled, places, strict=True) if found == place])
    ]


def brier_score(chances: Sequence[float], outcomes: Sequence[bool]) -> float:
    """Return the mean squared distance of chance and outcome: 0 is perfect, 0.25 a coin."""
    if not chances:
        raise ValueError("no forecast, no score")
    return float(np.mean((np.asarray(chances) - np.asarray(outcomes, dtype=float)) ** 2))


def censored_brier_score(
    chances: Sequence[float], days: Sequence[float], touched: Sequence[bool], by: float
) -> float:
    """Return the Brier score of the chances of touching within `by` days, some plants cut before.

    days: until it touched, or until it was last known clear where it did not.
    """
    chance, time = np.asarray(chances, dtype=float), np.asarray(days, dtype=float)
    event = np.asarray(touched, dtype=bool)
    if not len(chance):
        raise ValueError("no forecast, no score")
    kept = _chance_uncut(time, event)
    early = event & (time <= by)
    late = time > by
    squares = np.zeros(len(time))
    squares[early] = (1 - chance[early]) ** 2 / kept(time[early], before=True)
    squares[late] = chance[late] ** 2 / kept(np.array([by]))
    return float(np.mean(squares))


class _Kept(NamedTuple):
    """Kaplan and Meier's curve of not having been cut back yet."""

    times: Floats
    values: Floats

    def __call__(self, at: Floats, *, before: bool = False) -> Floats:
        steps: Floats = np.concatenate([[1.0], self.values])
        return steps[np.searchsorted(self.times, at, side="left" if before else "right")]


def _chance_uncut(time: Floats, event: npt.NDArray[np.bool_]) -> _Kept:
    """Return the curve of cutting back; a plant that touches on a day leaves before the cuts."""
    times = np.unique(time[~event])
    cut = np.array([np.sum(~event & (time == day)) for day in times], dtype=float)
    exposed = np.array(
        [np.sum(time >= day) - np.sum(event & (time == day)) for day in times], dtype=float
    )
    return _Kept(times, np.cumprod(1 - cut / exposed) if len(times) else np.array([]))


def interval_score(low: float, high: float, found: float, *, coverage: float = 0.8) -> float:
    """Return the width of the interval plus the fine for missing; less is better."""
    missed = max(low - found, 0, found - high)
    return high - low + 2 / (1 - coverage) * missed


def quantile_score(foretold: float, found: float, *, quantile: float) -> float:
    """Return the pinball loss of a foretold quantile; less is better."""
    off = found - foretold
    return quantile * off if off >= 0 else (quantile - 1) * off
