"""Scores against published examples. Source: ../shared/standards/statistics.md section 8."""

import json
from typing import Any

import pytest

from tests.published import shared_data
from warranties.calibration import (
    brier_score,
    censored_brier_score,
    interval_score,
    quantile_score,
    share,
)


def test_brier_of_a_library_example() -> None:
    """scikit-learn, brier_score_loss."""
    assert brier_score([0.1, 0.9, 0.8, 0.3], [False, True, True, False]) == pytest.approx(0.0375)


def test_brier_of_ten_rain_forecasts() -> None:
    """Brier 1950, Mon. Wea. Rev. 78:1-3, table 1: 0.19 over two classes, half of that on ours."""
    chances = [0.7, 0.9, 0.8, 0.4, 0.2, 0, 0, 0, 0, 0.1]
    rain = [False, True, True, True] + [False] * 6

    assert brier_score(chances, rain) == pytest.approx(0.095)
    assert censored_brier_score(chances, [1 if wet else 2 for wet in rain], rain, 1) == (
        pytest.approx(0.095)
    )


@pytest.mark.parametrize(
    ("chance", "rain", "score"), [(0.7, 1, 0.09), (0.3, 1, 0.49), (0.5, 1, 0.25)]
)
def test_brier_of_one_forecast(chance: float, rain: int, score: float) -> None:
    assert brier_score([chance], [bool(rain)]) == pytest.approx(score)


def test_interval_and_quantile_scores() -> None:
    """scoringrules 0.10.0, docstrings."""
    assert interval_score(0.0, 0.4, 0.1, coverage=0.5) == pytest.approx(0.4)
    assert quantile_score(0.5, 0.3, quantile=0.2) == pytest.approx(0.16)


def test_an_interval_that_misses_is_fined() -> None:
    """Winkler: 2/alpha for each unit outside, here alpha 0.2."""
    assert interval_score(10, 20, 23) == pytest.approx(10 + 3 * 10)
    assert interval_score(10, 20, 8) == pytest.approx(10 + 2 * 10)


def test_exact_interval_of_a_share() -> None:
    """Clopper and Pearson: five of five leaves everything from 0.025 to the fifth root up."""
    assert share(5, 5).low == pytest.approx(0.025 ** (1 / 5))
    assert share(5, 5).high == 1
    assert share(0, 10).high == pytest.approx(1 - 0.025 ** (1 / 10))


def test_examples_of_the_file() -> None:
    examples: list[dict[str, Any]] = json.loads(
        shared_data("stats", "forecast_scores.json").read_text()
    )["examples"]
    checked = 0
    for example in examples:
        score = example.get("score")
        if "y" in example and "p" in example:
            found = brier_score(example["p"], [bool(y) for y in example["y"]])
        elif "p_rain" in example:
            score = example["score_half_scale"]
            found = brier_score(example["p_rain"], [bool(rain) for rain in example["rain"]])
        elif "lower" in example:
            coverage = 1 - example["alpha"]
            found = interval_score(
                example["lower"], example["upper"], example["obs"], coverage=coverage
            )
        elif "q" in example:
            found = quantile_score(example["q"], example["obs"], quantile=example["alpha"])
        else:
            continue
        assert found == pytest.approx(score)
        checked += 1
    assert checked == 4
