"""The date of contact: one plant, many plants, and what must always hold."""

from datetime import date

import numpy as np
import pytest
from hypothesis import given, reject
from hypothesis import strategies as st

from warranties.growth import (
    Estimate,
    OddReading,
    Plants,
    Prior,
    Reading,
    Season,
    chance_by,
    clearance_on,
    contact_date,
    contact_on,
    forecast,
    interval,
    learn,
    prior_of_range,
)

ALL_YEAR = Season.months(range(1, 13))
WARM_HALF = Season.months(range(3, 11))
START = date(2026, 3, 1)
PRIOR = prior_of_range(12, 24)


@pytest.mark.parametrize(
    ("readings", "rate_mm", "day"),
    [
        ([Reading(START, 0)], 600, START),
        ([Reading(START, 300)], 0, None),
        ([Reading(START, 300, trimmed_to_mm=600)], 600, date(2027, 3, 1)),
        ([Reading(START, 600), Reading(date(2026, 9, 1), 300)], 600, date(2027, 3, 1)),
        ([Reading(START, 60_000)], 10, None),
    ],
    ids=["touching", "does not grow", "trimmed", "two readings", "centuries away"],
)
def test_contact_date_of_a_known_rate(
    readings: list[Reading], rate_mm: float, day: date | None
) -> None:
    # March to August is six months of twelve, growing evenly by months.
    assert contact_date(readings, Prior(rate_mm, 0), ALL_YEAR, 0.5) == day


def test_chance_by_the_date_is_the_quantile() -> None:
    estimate = learn([Reading(START, 400), Reading(date(2026, 6, 1), 290)], PRIOR, ALL_YEAR)

    for quantile in (0.05, 0.1, 0.5, 0.8):
        day = contact_on(estimate, quantile)

        assert day is not None
        assert chance_by(estimate, day) == pytest.approx(quantile, abs=0.01)


def test_clearance_shrinks_only_in_season() -> None:
    estimate = learn([Reading(date(2026, 10, 1), 305)], Prior(610, 0), WARM_HALF)

    assert clearance_on(estimate, date(2026, 11, 1)) == pytest.approx(305 - 610 / 8)
    assert clearance_on(estimate, date(2027, 3, 1)) == pytest.approx(305 - 610 / 8)
    assert clearance_on(estimate, date(2028, 3, 1)) == 0


def test_interval_is_open_where_the_plant_may_never_touch() -> None:
    low, high = interval([Reading(START, 300)], Prior(100, 90), ALL_YEAR)

    assert low is not None
    assert high is None


def test_needs_a_reading() -> None:
    with pytest.raises(OddReading, match="How far from the wall"):
        contact_date([], PRIOR, ALL_YEAR, 0.1)


def test_a_chance_is_no_certainty() -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        contact_date([Reading(START, 300)], PRIOR, ALL_YEAR, 1)


def test_forecast_equals_the_single_dates() -> None:
    seasons = (ALL_YEAR, WARM_HALF)
    estimates = [
        learn([Reading(date(2026, 1 + n % 12, 1), 40.0 * n)], PRIOR, seasons[n % 2])
        for n in range(30)
    ]

    days = forecast(estimates, (0.1, 0.5))

    assert days.shape == (30, 2)
    assert days[:, 0].tolist() == [contact_on(estimate, 0.1) for estimate in estimates]
    assert days[:, 1].tolist() == [contact_on(estimate, 0.5) for estimate in estimates]


def test_forecast_of_none_is_empty() -> None:
    assert forecast([]).shape == (0, 3)


def test_forecast_marks_never() -> None:
    estimate = learn([Reading(START, 300)], Prior(0, 0), ALL_YEAR)

    assert np.isnat(forecast([estimate])).all()


def test_forecast_takes_a_million_at_once() -> None:
    million = 1_000_000
    clear = np.linspace(1, 900, million)
    plants = Plants(
        day=np.full(million, 9500),
        clearance_mm=clear,
        rate_mm=np.full(million, 400.0),
        clearance_var=np.full(million, 169.0),
        rate_var=np.full(million, 160.0**2),
        covariance=np.zeros(million),
        scatter_mm=np.full(million, 100.0),
        season=np.zeros(million, dtype=np.int64),
        seasons=(WARM_HALF,),
    )

    days = forecast(plants, (0.1,))[:, 0]

    assert (np.diff(days.astype(np.int64)) >= 0).all()
    assert np.unique(days).size > 100


LENGTHS = st.floats(0, 3000)
RATES = st.builds(Prior, st.floats(0, 900), st.floats(0, 400), st.floats(0, 200), st.floats(0, 30))
SEASONS = st.sampled_from([ALL_YEAR, WARM_HALF])
DAYS = st.dates(date(2020, 1, 1), date(2050, 12, 31))
CHANCES = st.floats(0.01, 0.99)


def sooner_or_equal(first: date | None, second: date | None) -> bool:
    return second is None or (first is not None and first <= second)


@given(st.tuples(LENGTHS, LENGTHS), RATES, SEASONS, DAYS, CHANCES)
def test_more_clearance_is_never_sooner(
    lengths: tuple[float, float], prior: Prior, season: Season, day: date, chance: float
) -> None:
    near, far = (
        contact_date([Reading(day, length)], prior, season, chance) for length in sorted(lengths)
    )
    assert sooner_or_equal(near, far)


@given(LENGTHS, RATES, SEASONS, DAYS, st.tuples(CHANCES, CHANCES))
def test_a_higher_chance_is_never_sooner(
    length: float, prior: Prior, season: Season, day: date, chances: tuple[float, float]
) -> None:
    low, high = (
        contact_date([Reading(day, length)], prior, season, chance) for chance in sorted(chances)
    )
    assert sooner_or_equal(low, high)


@given(LENGTHS, RATES, SEASONS, DAYS, CHANCES)
def test_contact_is_never_before_the_reading(
    length: float, prior: Prior, season: Season, day: date, chance: float
) -> None:
    found = contact_date([Reading(day, length)], prior, season, chance)
    assert found is None or found >= day


@st.composite
def histories(draw: st.DrawFn) -> list[Estimate]:
    """The same history twice, the last clearance shorter in the first."""
    prior, season = draw(RATES), draw(SEASONS)
    days = sorted(draw(st.sets(DAYS, min_size=2, max_size=5)))
    earlier = [Reading(day, draw(LENGTHS), None, True) for day in days[:-1]]
    lengths = sorted(draw(st.tuples(st.floats(1, 300), st.floats(1, 300))))
    trimmed = [Reading(days[-1], 0, length, True) for length in lengths]
    return [learn([*earlier, last], prior, season) for last in trimmed]


@given(histories(), CHANCES)
def test_a_deeper_cut_is_never_sooner(estimates: list[Estimate], chance: float) -> None:
    near, far = (contact_on(estimate, chance) for estimate in estimates)
    assert sooner_or_equal(near, far)


@given(RATES, SEASONS, st.lists(LENGTHS, max_size=3), st.tuples(LENGTHS, LENGTHS), CHANCES)
def test_a_greater_last_reading_is_never_sooner(
    prior: Prior,
    season: Season,
    earlier: list[float],
    lengths: tuple[float, float],
    chance: float,
) -> None:
    days = [date.fromordinal(START.toordinal() + 150 * place) for place in range(4)]
    before = [Reading(day, mm, None, True) for day, mm in zip(days, earlier, strict=False)]
    try:
        near, far = (
            contact_date([*before, Reading(days[-1], length)], prior, season, chance)
            for length in sorted(lengths)
        )
    except OddReading:
        reject()
    assert sooner_or_equal(near, far)


@given(LENGTHS, RATES, SEASONS, DAYS, st.integers(0, 2000), st.integers(0, 2000))
def test_the_chance_only_rises(
    length: float, prior: Prior, season: Season, day: date, some: int, more: int
) -> None:
    estimate = learn([Reading(day, length)], prior, season)
    first, second = (
        chance_by(estimate, date.fromordinal(day.toordinal() + days))
        for days in (some, some + more)
    )
    assert 0 <= first <= second + 1e-12 <= 1 + 1e-12
