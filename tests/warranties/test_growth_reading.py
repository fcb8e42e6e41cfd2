"""Readings: what they teach, and which are asked about."""

from datetime import date

import pytest

from warranties.growth import (
    OddReading,
    Prior,
    Reading,
    Season,
    check_reading,
    contact_date,
    learn,
    prior_of_range,
)

ALL_YEAR = Season.months(range(1, 13))
START = date(2026, 3, 1)
HALF_A_YEAR_ON = date(2026, 9, 1)
PRIOR = prior_of_range(12, 24)  # 457 mm a year.


def test_a_fast_plant_is_learned_as_fast() -> None:
    before = learn([Reading(START, 600)], PRIOR, ALL_YEAR)

    after = learn([Reading(START, 600), Reading(HALF_A_YEAR_ON, 200)], PRIOR, ALL_YEAR)

    assert PRIOR.rate_mm < after.rate_mm < 800
    assert after.rate_sd_mm < before.rate_sd_mm == pytest.approx(PRIOR.sd_mm)


def test_order_of_entry_does_not_matter() -> None:
    readings = [Reading(START, 600), Reading(HALF_A_YEAR_ON, 350), Reading(date(2026, 12, 1), 300)]

    assert learn(readings, PRIOR, ALL_YEAR) == learn(reversed(readings), PRIOR, ALL_YEAR)


def test_a_trim_back_keeps_what_was_learned() -> None:
    grown = [Reading(START, 600), Reading(HALF_A_YEAR_ON, 200)]
    cut = [Reading(START, 600), Reading(HALF_A_YEAR_ON, 200, trimmed_to_mm=500)]

    assert learn(cut, PRIOR, ALL_YEAR).rate_mm == learn(grown, PRIOR, ALL_YEAR).rate_mm
    assert learn(cut, PRIOR, ALL_YEAR).clearance_mm == 500


def test_touching_teaches_no_less_than_just_clear() -> None:
    just = learn([Reading(START, 300), Reading(HALF_A_YEAR_ON, 1)], PRIOR, ALL_YEAR)
    touching = learn([Reading(START, 300), Reading(HALF_A_YEAR_ON, 0)], PRIOR, ALL_YEAR)

    assert touching.rate_mm > just.rate_mm
    assert touching.clearance_mm <= 0


def test_touching_as_expected_teaches_little() -> None:
    found = learn([Reading(START, 300), Reading(date(2029, 3, 1), 0)], PRIOR, ALL_YEAR)

    assert found.rate_mm == pytest.approx(PRIOR.rate_mm, rel=0.05)


def test_a_gap_that_was_seen_is_not_reckoned_away() -> None:
    found = learn(
        [Reading(START, 300), Reading(HALF_A_YEAR_ON, 2)], Prior(900, 50, 10, 40), ALL_YEAR
    )

    assert found.clearance_mm > 0


@pytest.mark.parametrize(
    ("readings", "question"),
    [
        ([Reading(START, 950), Reading(date(2026, 3, 2), 36)], "grew 914 mm .36 in. in 1 day"),
        ([Reading(START, 950), Reading(START, 36)], "within the same day"),
        ([Reading(START, 150), Reading(HALF_A_YEAR_ON, 450)], "cut back in between"),
        ([Reading(START, -5)], "Enter 0 where the plant touches"),
        ([Reading(START, float("nan"))], "Enter 0"),
        ([Reading(START, 300, trimmed_to_mm=100)], "Which is right"),
        ([Reading(START, 300, trimmed_to_mm=-1)], "how far it now stands clear"),
    ],
    ids=[
        "3 ft in a day",
        "same day",
        "grew back",
        "negative",
        "no number",
        "cut nearer",
        "cut below",
    ],
)
def test_asks_about_an_odd_reading(readings: list[Reading], question: str) -> None:
    with pytest.raises(OddReading, match=question) as caught:
        contact_date(readings, PRIOR, ALL_YEAR, 0.1)

    assert "?" in str(caught.value) or "Enter" in str(caught.value)


def test_asks_about_a_day_to_come() -> None:
    with pytest.raises(OddReading, match="2 March 2026 is still to come"):
        check_reading(Reading(date(2026, 3, 2), 10), [], PRIOR, ALL_YEAR, today=START)


def test_keeps_a_sound_reading() -> None:
    earlier = [Reading(START, 300), Reading(date(2027, 1, 1), 500, trimmed_to_mm=900)]

    check_reading(Reading(HALF_A_YEAR_ON, 100), earlier, PRIOR, ALL_YEAR, today=HALF_A_YEAR_ON)


def test_a_confirmed_growth_is_learned() -> None:
    shot_up = Reading(date(2026, 3, 2), 36, confirmed=True)

    found = learn([Reading(START, 950), shot_up], PRIOR, ALL_YEAR)

    assert found.clearance_mm == 36
    assert found.rate_mm > PRIOR.rate_mm


def test_a_confirmed_unseen_cut_starts_anew() -> None:
    cut = Reading(HALF_A_YEAR_ON, 450, confirmed=True)

    found = learn([Reading(START, 150), cut], PRIOR, ALL_YEAR)

    assert found.clearance_mm == 450
    assert found.rate_mm == PRIOR.rate_mm
