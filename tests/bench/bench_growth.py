"""A million plants forecast in one pass, against bare NumPy doing the same arithmetic.

Prints a ratio, never times: they would tell about the machine.
"""

from collections.abc import Callable
from statistics import median
from time import perf_counter

import numpy as np

from warranties.growth import Plants, Season, forecast

MILLION = 1_000_000
CHANCES = (0.1, 0.5, 0.9)
NORMAL_QUANTILES = (-1.2815515655446004, 0.0, 1.2815515655446004)
ROUNDS = 5


def million_plants() -> Plants:
    random = np.random.default_rng(1)
    return Plants(
        day=random.integers(9000, 10_000, MILLION),
        clearance_mm=random.uniform(10, 900, MILLION),
        rate_mm=random.uniform(300, 700, MILLION),
        clearance_var=np.full(MILLION, 169.0),
        rate_var=random.uniform(50, 120, MILLION) ** 2,
        covariance=np.zeros(MILLION),
        scatter_mm=random.uniform(40, 120, MILLION),
        season=np.zeros(MILLION, dtype=np.int64),
        seasons=(Season.months(range(3, 11)),),
    )


def bare(plants: Plants) -> list[np.ndarray]:
    """The same roots and the same calendar, with none of the cases that forecast() cares for."""
    table = plants.seasons[0].grown_by
    clear, rate = plants.clearance_mm, plants.rate_mm
    columns = []
    for z in NORMAL_QUANTILES:
        square = rate**2 - z**2 * plants.rate_var
        linear = 2 * rate * clear + z**2 * (plants.scatter_mm**2 - 2 * plants.covariance)
        constant = clear**2 - z**2 * plants.clearance_var
        root = np.sqrt(np.maximum(linear**2 - 4 * square * constant, 0))
        years = (linear + root) / (2 * square) if z > 0 else 2 * constant / (linear + root)
        columns.append(np.searchsorted(table, table[plants.day] + years - 1e-9))
    return columns


def seconds(work: Callable[[], object]) -> float:
    start = perf_counter()
    work()
    return perf_counter() - start


def bench() -> float:
    """Print and return the median ratio of forecast() to bare NumPy for a million plants."""
    plants = million_plants()
    days = forecast(plants, CHANCES)
    first = np.datetime64("2000-01-01", "D")
    for column, found in enumerate(bare(plants)):
        ours = (days[:, column] - first).astype(np.int64)
        later = found > plants.day
        assert (ours[later] == found[later]).all(), "the two do not compute the same"
    ratio = median(
        seconds(lambda: forecast(plants, CHANCES)) / seconds(lambda: bare(plants))
        for _ in range(ROUNDS)
    )
    print(f"forecast of {MILLION:,} plants, three chances each: {ratio:.2f} x bare NumPy")  # noqa: T201
    return ratio


if __name__ == "__main__":
    bench()
