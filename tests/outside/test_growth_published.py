"""The forecast against published figures. Sources: standards/engineering.md 4, statistics.md 5."""

from datetime import date

import pytest

from warranties.growth import (
    KINDS,
    USDA_MEAN_IN,
    Prior,
    Reading,
    Season,
    classes_of,
    contact_date,
    degree_days,
    learn,
    usda_range_in,
)
from warranties.growth.prior import INCH_MM

ALL_YEAR = range(1, 13)
MARCH_TO_OCTOBER = range(3, 11)


@pytest.mark.parametrize(
    ("gap_in", "rate_in", "months", "start", "day"),
    [
        (12, 24, ALL_YEAR, date(2026, 1, 1), date(2026, 7, 1)),
        (12, 24, MARCH_TO_OCTOBER, date(2026, 3, 1), date(2026, 7, 1)),
        (12, 24, MARCH_TO_OCTOBER, date(2026, 10, 1), date(2027, 6, 1)),
        # 8.57 months: 8 to 1 September, then 0.571 of its 30 days, so the 19th is the first after.
        (6, 8.4, ALL_YEAR, date(2026, 1, 1), date(2026, 9, 19)),
        (18, 12, ALL_YEAR, date(2026, 1, 1), date(2027, 7, 1)),
        (12, 0, ALL_YEAR, date(2026, 1, 1), None),
        (0, 12, ALL_YEAR, date(2026, 1, 1), date(2026, 1, 1)),
    ],
)
def test_uniform_growth(
    gap_in: float, rate_in: float, months: range, start: date, day: date | None
) -> None:
    """engineering.md 4.2, test cases."""
    prior = Prior(rate_in * INCH_MM, 0)

    found = contact_date([Reading(start, gap_in * INCH_MM)], prior, Season.months(months), 0.5)

    assert found == day


@pytest.mark.parametrize(
    ("rate_in", "scale", "classes"),
    [
        (12, "missouri", ["slow", "medium"]),
        (24, "missouri", ["fast"]),
        (24, "arbor", ["medium"]),
        (24.5, "arbor", []),
        (25, "arbor", ["fast"]),
        (24, "gardening", ["slow to moderate", "moderate", "moderate to fast"]),
        (0.5, "conifer", ["miniature"]),
    ],
)
def test_growth_classes(rate_in: float, scale: str, classes: list[str]) -> None:
    """Missouri Department of Conservation; Myers; National Gardening Association (2004)."""
    assert classes_of(rate_in, scale) == classes


@pytest.mark.parametrize(
    ("high", "low", "mean", "capped"),
    [
        (70, 50, 10, 10),
        (85, 60, 22.5, 22.5),
        (90, 60, 25, 23),
        (70, 40, 5, 10),
        (48, 30, 0, 0),
        (60, 38, 0, 5),
        (95, 75, 35, 30.5),
        (110, 88, 49, 36),
        (94, 67, 30.5, 26.5),
        (98, 73, 35.5, 29.5),
    ],
)
def test_degree_days(high: float, low: float, mean: float, capped: float) -> None:
    """engineering.md 4.3: Iowa State Agron 541, MRCC and others."""
    assert degree_days(low, high, method="mean") == mean
    assert degree_days(low, high, method="capped") == capped


@pytest.mark.parametrize(
    ("low", "high", "base", "found"), [(75, 75, 65, 10), (64, 64, 53, 11), (39, 39, 40, 0)]
)
def test_degree_days_of_a_mean(low: float, high: float, base: float, found: float) -> None:
    """MRCC gddinfo 75 - 65; UC IPM cit-t01 64 - 53; Learner.org 39 under 40."""
    assert degree_days(low, high, base_f=base, method="mean") == found


# Prior mean and deviation; deviation of an observation, how many, their mean; the posterior.
NORMAL_UPDATES = [
    # bayesrules, article "conjugate-families".
    ((3.8, 1.12), 5.8, 8, 3.35, (3.696604, 0.9829435)),
    # MIT 18.05, class 15 reading.
    ((4, 8**0.5), 5**0.5, 1, 3, (3.384615, 3.076923**0.5)),
    # Albert and Hu, chapter 8, time to serve.
    ((18, 1.56), 4, 20, 17.2, (17.39792, 0.775937)),
]


@pytest.mark.parametrize(("before", "each", "n", "average", "after"), NORMAL_UPDATES)
def test_conjugate_update(
    before: tuple[float, float],
    each: float,
    n: int,
    average: float,
    after: tuple[float, float],
) -> None:
    """A plant read n times, a year apart and cut back each time, is n observations of its rate."""
    prior = Prior(*before, scatter_mm=each)
    readings = [Reading(date(2026, 1, 1), 100)] + [
        Reading(date(2027 + year, 1, 1), 100 - average, trimmed_to_mm=100) for year in range(n)
    ]

    found = learn(readings, prior, Season.months(ALL_YEAR))

    assert (found.rate_mm, found.rate_sd_mm) == pytest.approx(after, abs=1e-5)


def test_kinds_are_not_read_as_classes() -> None:
    """A Rapid shrub of USDA's is no fast grower of the Missouri key."""
    assert classes_of(USDA_MEAN_IN["shrub", "rapid"]) == ["slow"]


def test_oleander_by_usda() -> None:
    """USDA PLANTS NEOL: 12 ft at base age, shrub or tree: 7.2 to 14.4 in a year."""
    assert usda_range_in(12, "Shrub, Tree") == pytest.approx((7.2, 14.4))
    assert KINDS["oleander"].low_in == 12
