"""The day by which a plant touches with a given chance, for one plant or a million at once.

Definition. After g growing years the clearance is normal with mean c - m g and variance
v(g) = Vc - 2 g Vcm + g^2 Vm + g s^2. The plant touches by then with chance Phi((m g - c) / sqrt v),
which only rises with g. The date of chance q is the smaller root (q under one half) or the larger
of (m g - c)^2 = z^2 v(g), z the normal quantile of q: a quadratic, solved for all plants together.
A plant that stands at the wall touches at once; one that does not grow never does, nor does one
whose date lies more than HORIZON_YEARS ahead.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from warranties.growth.prior import Prior
from warranties.growth.rate import TOUCHING_MM, Estimate, Reading, learn
from warranties.growth.season import FIRST_DAY, Season, day_number

HORIZON_YEARS = 60.0
A_HAIR = 1e-9  # Growing years; keeps a whole day from being lost to rounding.

Floats = npt.NDArray[np.float64]
Days = npt.NDArray[np.datetime64]


@dataclass(frozen=True, slots=True)
class Plants:
    """Estimates of many plants as columns, one row a plant.

    day counts days since 1 January 2000; season points into seasons; lengths in mm.
    """

    day: npt.NDArray[np.int64]
    clearance_mm: Floats
    rate_mm: Floats
    clearance_var: Floats
    rate_var: Floats
    covariance: Floats
    scatter_mm: Floats
    season: npt.NDArray[np.int64]
    seasons: tuple[Season, ...]

    @classmethod
    def of(cls, estimates: Iterable[Estimate]) -> Plants:
        """Return the columns of single estimates; plants that share a Season share its table."""
        rows = list(estimates)
        seasons = list(dict.fromkeys(row.season for row in rows))
        place = {season: index for index, season in enumerate(seasons)}

        def column(name: str) -> Floats:
            return np.array([getattr(row, name) for row in rows], dtype=np.float64)

        return cls(
            day=np.array([day_number(row.on) for row in rows], dtype=np.int64),
            clearance_mm=column("clearance_mm"),
            rate_mm=column("rate_mm"),
            clearance_var=column("clearance_var"),
            rate_var=column("rate_var"),
            covariance=column("covariance"),
            scatter_mm=column("scatter_mm"),
            season=np.array([place[row.season] for row in rows], dtype=np.int64),
            seasons=tuple(seasons),
        )


def forecast(
    plants: Plants | Iterable[Estimate], quantiles: Sequence[float] = (0.1, 0.5, 0.9)
) -> Days:
    """Return the day of contact at each chance: one row a plant, one column a quantile.

    Days are datetime64[D]; NaT is never. `.astype(object)` turns them into date and None.
    """
    if not isinstance(plants, Plants):
        plants = Plants.of(plants)
    days = np.empty((len(plants.day), len(quantiles)), dtype="datetime64[D]")
    for column, quantile in enumerate(quantiles):
        days[:, column] = _days_at(plants, quantile)
    return days


def _days_at(plants: Plants, quantile: float) -> Days:
    needed = _growing_years(plants, quantile)
    if len(plants.seasons) == 1:
        return _calendar(plants.day, needed, plants.seasons[0])
    days = np.empty(len(needed), dtype="datetime64[D]")
    for index, season in enumerate(plants.seasons):
        here = np.flatnonzero(plants.season == index)
        days[here] = _calendar(plants.day[here], needed[here], season)
    return days


def _growing_years(plants: Plants, quantile: float) -> Floats:
    """Return how many growing years bring the chance of contact to quantile; inf is never."""
    if not 0 < quantile < 1:
        raise ValueError(f"a chance lies between 0 and 1, not at {quantile}")
    z = NormalDist().inv_cdf(quantile)
    clear, rate = plants.clearance_mm, plants.rate_mm
    square = rate**2 - z**2 * plants.rate_var
    linear = 2 * rate * clear + z**2 * (plants.scatter_mm**2 - 2 * plants.covariance)
    constant = clear**2 - z**2 * plants.clearance_var
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        root = np.sqrt(np.maximum(linear**2 - 4 * square * constant, 0))
        if z > 0:
            years = np.where(square > 0, (linear + root) / (2 * square), np.inf)
        else:
            years = np.where(constant > 0, 2 * constant / (linear + root), 0.0)
    years = np.where(rate > 0, years, np.inf)
    return np.where(clear <= TOUCHING_MM, 0.0, years)


def _calendar(start: npt.NDArray[np.int64], years: Floats, season: Season) -> Days:
    """Return the first day by whose start so many growing years have passed since start."""
    table = season.grown_by
    reachable = years <= HORIZON_YEARS
    target = table[start] + np.where(reachable, years, 0.0) - A_HAIR
    day = np.maximum(np.searchsorted(table, target), start)
    reachable &= day < len(table)
    found = np.datetime64(FIRST_DAY, "D") + day
    return np.where(reachable, found, np.datetime64("NaT", "D"))


def contact_on(estimate: Estimate, quantile: float) -> date | None:
    """Return the day by which the plant touches with that chance, or None for never."""
    day: date | None = forecast([estimate], [quantile])[0, 0].item()
    return day


def contact_date(
    readings: Iterable[Reading], prior: Prior, season: Season, quantile: float = 0.1
) -> date | None:
    """Return the day by which the plant touches with that chance, or None for never.

    Raises OddReading as learn does.
    """
    return contact_on(learn(readings, prior, season), quantile)


def interval_of(estimate: Estimate, coverage: float = 0.8) -> tuple[date | None, date | None]:
    """Return the days between which contact falls with that chance, as much on either side."""
    tail = (1 - coverage) / 2
    low, high = forecast([estimate], [tail, 1 - tail])[0].tolist()
    return low, high


def interval(
    readings: Iterable[Reading], prior: Prior, season: Season, coverage: float = 0.8
) -> tuple[date | None, date | None]:
    """Return interval_of what the readings tell. None is "never", on the right "maybe never"."""
    return interval_of(learn(readings, prior, season), coverage)


def chance_by(estimate: Estimate, day: date) -> float:
    """Return the chance that the plant touches by the start of a day."""
    if day < estimate.on:
        return 0.0
    if estimate.touching:
        return 1.0
    if estimate.rate_mm <= 0:
        return 0.0
    then = estimate.at(day)
    if then.clearance_var <= 0:
        hair = A_HAIR * estimate.rate_mm
        return float(then.clearance_mm <= hair)
    return math.erfc(then.clearance_mm / math.sqrt(2 * then.clearance_var)) / 2


def chance_of_contact(
    readings: Iterable[Reading], prior: Prior, season: Season, day: date
) -> float:
    """Return chance_by for what the readings tell."""
    return chance_by(learn(readings, prior, season), day)


def clearance_on(estimate: Estimate, day: date) -> float:
    """Return the likeliest clearance in mm at the start of a day, 0 where it touches."""
    if day < estimate.on:
        raise ValueError(f"the last reading is later, of {estimate.on:%Y-%m-%d}")
    return max(0.0, estimate.at(day).clearance_mm)
