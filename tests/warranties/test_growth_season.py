"""The growing calendar."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from warranties.growth import Season, active_months, degree_days

A_YEAR = [date(2025, 1, 1) + timedelta(days) for days in range(365)]


def test_each_year_holds_one_growing_year() -> None:
    season = Season.months([3, 4, 5, 9, 10])

    for year in (2023, 2024, 2100):
        grown = season.between(date(year, 1, 1), date(year + 1, 1, 1))
        assert grown == pytest.approx(1, abs=1e-9)


def test_months_share_alike_however_long_they_are() -> None:
    season = Season.months(range(1, 13))

    assert season.between(date(2024, 2, 1), date(2024, 3, 1)) == pytest.approx(1 / 12)
    assert season.between(date(2025, 2, 1), date(2025, 3, 1)) == pytest.approx(1 / 12)


def test_nothing_grows_out_of_season() -> None:
    season = Season.months(range(3, 11))

    assert season.between(date(2026, 11, 1), date(2027, 3, 1)) == 0


def test_season_follows_the_temperatures() -> None:
    def warmth(day: date) -> tuple[date, float, float]:
        return (day, 60, 80) if 5 <= day.month <= 6 else (day, 20, 40)

    season = Season.of_temperatures(warmth(day) for day in A_YEAR)

    assert season.between(date(2026, 5, 1), date(2026, 7, 1)) == pytest.approx(1)
    assert season.between(date(2026, 5, 1), date(2026, 6, 1)) == pytest.approx(31 / 61)


def test_several_years_are_averaged() -> None:
    years = [date(2024, 1, 1) + timedelta(days) for days in range(731)]

    season = Season.of_temperatures((day, 60.0, 80.0) for day in years)

    assert season.between(date(2028, 1, 1), date(2028, 1, 2)) == pytest.approx(1 / 366)


def test_a_part_of_a_year_is_refused() -> None:
    with pytest.raises(ValueError, match="300 days are here"):
        Season.of_temperatures((day, 60, 80) for day in A_YEAR[65:])


def test_a_year_of_frost_is_refused() -> None:
    with pytest.raises(ValueError, match="never warm enough"):
        Season.of_temperatures((day, 0, 30) for day in A_YEAR)


@pytest.mark.parametrize("weights", [[1.0] * 11, [0.0] * 12, [-1.0] + [1.0] * 11])
def test_an_impossible_calendar_is_refused(weights: list[float]) -> None:
    with pytest.raises(ValueError, match="twelve weights"):
        Season.monthly(weights)


def test_a_day_outside_the_calendar_is_refused() -> None:
    with pytest.raises(ValueError, match="outside 2000 to 2199"):
        Season.months([5]).between(date(1999, 12, 31), date(2026, 1, 1))


def test_active_months() -> None:
    assert active_months("Spring and Summer") == frozenset(range(3, 9))
    assert active_months("Year Round") == frozenset(range(1, 13))
    with pytest.raises(ValueError, match="no season"):
        active_months("now and then")


def test_a_low_above_the_high_is_refused() -> None:
    with pytest.raises(ValueError, match="lies above"):
        degree_days(60, 50)


@given(st.floats(-20, 130), st.floats(0, 60), st.sampled_from(["triangle", "sine", "capped"]))
def test_degree_days_stay_within_base_and_top(low: float, swing: float, method: str) -> None:
    assert -1e-9 <= degree_days(low, low + swing, method=method) <= 36 + 1e-9
