"""Calibration: the counting, and the forecast itself against a truth that is known."""

from datetime import date, timedelta

import numpy as np
import pytest

from warranties.calibration import (
    Foretold,
    brier_score,
    calibration,
    censored_brier_score,
    share,
)
from warranties.growth import (
    Prior,
    Reading,
    Season,
    chance_by,
    forecast,
    learn,
)

BY = date(2026, 6, 1)
BEFORE, AFTER = date(2026, 5, 1), date(2026, 7, 1)


def test_share_of_none_says_nothing() -> None:
    assert share(0, 0) == (0, 0, None, 0.0, 1.0)


def test_share_of_too_many_is_refused() -> None:
    with pytest.raises(ValueError, match="no share"):
        share(3, 2)


@pytest.mark.parametrize(
    ("touched_on", "clear_until", "came_true"),
    [
        (BEFORE, None, True),
        (BY, None, True),
        (AFTER, None, False),
        (None, AFTER, False),
        (None, BY, False),
        (None, BEFORE, None),
        (None, None, None),
    ],
)
def test_settles_a_forecast(
    touched_on: date | None, clear_until: date | None, came_true: bool | None
) -> None:
    foretold = Foretold(BY, 0.1, touched_on=touched_on, clear_until=clear_until)
    assert foretold.came_true is came_true


def test_calibration_counts() -> None:
    rows = [
        Foretold(BY, 0.1, BEFORE, AFTER, touched_on=BY),
        Foretold(BY, 0.1, BEFORE, BY, touched_on=AFTER),
        Foretold(BY, 0.1, BEFORE, None, touched_on=AFTER),
        Foretold(BY, 0.8, BEFORE, AFTER, clear_until=AFTER),
        Foretold(BY, 0.1, BEFORE, AFTER, clear_until=BEFORE),
    ]

    found = calibration(rows)

    assert found.came_true[:2] == (1, 4)
    assert found.caught[:2] == (2, 3)
    assert found.unsettled == 1
    assert found.brier == pytest.approx((0.81 + 0.01 + 0.01 + 0.64) / 4)
    assert [bin_.chance for bin_ in found.bins] == pytest.approx([0.1, 0.8])
    assert [bin_.came_true[:2] for bin_ in found.bins] == [(1, 3), (0, 1)]


def test_calibration_of_nothing() -> None:
    found = calibration([])

    assert found.brier is None
    assert found.bins == []


def test_censored_score_without_censoring_is_the_plain_one() -> None:
    chances = [0.1, 0.4, 0.8, 0.9]
    days = [200, 150, 90, 300]

    found = censored_brier_score(chances, days, [True] * 4, by=160)

    assert found == pytest.approx(brier_score(chances, [False, True, True, False]))


def test_a_cut_plant_counts_through_those_left() -> None:
    # One of two left at day 50 is cut: the one that stays counts for both.
    found = censored_brier_score([0.5, 0.5, 0.2], [20, 50, 90], [True, False, True], by=60)

    assert found == pytest.approx((0.25 + 0.04 / 0.5) / 3)


def test_no_forecast_no_score() -> None:
    with pytest.raises(ValueError, match="no score"):
        brier_score([], [])
    with pytest.raises(ValueError, match="no score"):
        censored_brier_score([], [], [], by=1)


PLANTS = 2500
PRIOR = Prior(400, 130, scatter_mm=90, tape_mm=13)
PLANTED = date(2026, 1, 1)
VISITS = (0, 120, 260)
YEARS = 9


def grown_by_day(season: Season, random: np.random.Generator) -> np.ndarray:
    """True growth of each plant to the start of each day: never backwards, a gamma process."""
    table = season.grown_by
    start = (PLANTED - date(2000, 1, 1)).days
    steps = np.diff(table[start : start + YEARS * 365])
    rate = random.normal(PRIOR.rate_mm, PRIOR.sd_mm, PLANTS).clip(min=20)[:, None]
    shape = rate**2 * steps / PRIOR.scatter_mm**2
    grown = random.gamma(shape) * PRIOR.scatter_mm**2 / rate
    return np.concatenate([np.zeros((PLANTS, 1)), np.cumsum(grown, axis=1)], axis=1)


@pytest.mark.parametrize("visits", [1, 2, 3])
def test_forecast_keeps_its_word_in_a_known_world(visits: int) -> None:
    """Rates from the prior, growth that never runs backwards, readings off by the tape."""
    random = np.random.default_rng(20260301 + visits)
    season = Season.monthly([0, 0, 3, 4, 4, 3, 2, 2, 3, 3, 1, 0])
    grown = grown_by_day(season, random)
    last = VISITS[visits - 1]
    # Every plant stands 250 to 700 mm clear of the wall after the last visit.
    gap = grown[:, last] + random.uniform(250, 700, PLANTS)
    read = (
        gap[:, None] - grown[:, VISITS[:visits]] + random.normal(0, PRIOR.tape_mm, (PLANTS, visits))
    )
    touched = PLANTED + np.argmax(grown >= gap[:, None], axis=1) * timedelta(days=1)
    days = [PLANTED + timedelta(days=visit) for visit in VISITS[:visits]]
    estimates = [
        learn(
            [Reading(day, mm, confirmed=True) for day, mm in zip(days, row, strict=True)],
            PRIOR,
            season,
        )
        for row in read
    ]

    low, ten, likely, high = forecast(estimates, (0.1, 0.1, 0.5, 0.9)).T.tolist()
    rows = [
        Foretold(by, 0.1, first, end, touched_on=day)
        for by, first, end, day in zip(ten, low, high, touched, strict=True)
    ]
    found = calibration(rows)
    middle = calibration(
        Foretold(by, 0.5, touched_on=day) for by, day in zip(likely, touched, strict=True)
    )

    assert found.came_true.of == PLANTS
    assert found.came_true.share == pytest.approx(0.1, abs=0.025)
    assert middle.came_true.share == pytest.approx(0.5, abs=0.035)
    assert found.caught.share == pytest.approx(0.8, abs=0.03)


def test_chances_by_one_day_are_true_and_beat_the_base_rate() -> None:
    random = np.random.default_rng(7)
    season = Season.months(range(3, 11))
    grown = grown_by_day(season, random)
    gap = random.uniform(200, 1500, PLANTS)
    day = 730
    happened = (grown[:, day] >= gap).tolist()
    estimates = [learn([Reading(PLANTED, mm)], PRIOR, season) for mm in gap]

    chances = [chance_by(estimate, PLANTED + timedelta(days=day)) for estimate in estimates]

    score = brier_score(chances, happened)
    base = sum(happened) / PLANTS
    assert score < 0.6 * base * (1 - base)
    for bin_ in calibration(
        Foretold(BY, chance, touched_on=BEFORE if hit else AFTER)
        for chance, hit in zip(chances, happened, strict=True)
    ).bins:
        assert bin_.came_true.low - 0.03 <= bin_.chance <= bin_.came_true.high + 0.03


def test_readings_mend_a_wrong_prior() -> None:
    """Plants that grow half as fast again as their kind are foretold too late, but not for long."""
    random = np.random.default_rng(11)
    season = Season.months(range(3, 12))
    grown = grown_by_day(season, random)
    believed = Prior(PRIOR.rate_mm / 1.5, PRIOR.sd_mm, PRIOR.scatter_mm, PRIOR.tape_mm)

    def share_by_the_day_of_ten_percent(visits: list[int]) -> float:
        gap = grown[:, visits[-1]] + random.uniform(250, 700, PLANTS)
        days = [PLANTED + timedelta(days=visit) for visit in visits]
        estimates = [
            learn([Reading(day, mm) for day, mm in zip(days, row, strict=True)], believed, season)
            for row in gap[:, None] - grown[:, visits]
        ]
        touched = PLANTED + np.argmax(grown >= gap[:, None], axis=1) * timedelta(days=1)
        by = forecast(estimates, (0.1,))[:, 0].tolist()
        return sum(day <= due for day, due in zip(touched, by, strict=True)) / PLANTS

    once, twice, often = (
        share_by_the_day_of_ten_percent(visits) for visits in ([0], [0, 300], [0, 300, 600, 900])
    )

    assert once > 1.5 * twice
    assert often < 0.2
