"""Priors from classes and kinds."""

import pytest

from warranties.growth import (
    KINDS,
    Kind,
    Prior,
    active_months,
    prior_of_class,
    prior_of_kind,
    prior_of_range,
    usda_range_in,
)


def test_a_range_is_the_middle_eighty_percent() -> None:
    prior = prior_of_range(2, 22)

    assert prior.rate_mm == pytest.approx(12 * 25.4)
    assert prior.sd_mm == pytest.approx(10 * 25.4 / 1.28155, rel=1e-4)


def test_a_narrow_range_is_not_believed() -> None:
    assert prior_of_range(14.4, 14.4).sd_mm == pytest.approx(0.4 * 14.4 * 25.4)


def test_classes_grow_in_their_order() -> None:
    slow, medium, fast = (prior_of_class(name).rate_mm for name in ("slow", "medium", "fast"))

    assert slow < medium < fast
    assert fast == pytest.approx(30 * 25.4)


def test_an_unknown_class_is_refused() -> None:
    with pytest.raises(ValueError, match="no class"):
        prior_of_class("rapid")


def test_a_floor_is_stretched_upwards() -> None:
    seen = Kind("a", "A", 10, 10, "Spring", "seen")

    assert prior_of_kind(seen._replace(floor=True)).rate_mm > prior_of_kind(seen).rate_mm


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_every_kind_gives_a_prior_and_a_season(kind: Kind) -> None:
    assert prior_of_kind(kind).rate_mm > 0
    assert active_months(kind.active)
    assert kind.source


def test_negative_growth_is_refused() -> None:
    with pytest.raises(ValueError, match="below zero"):
        Prior(-1, 0)
    with pytest.raises(ValueError, match="no range"):
        prior_of_range(5, 4)


def test_no_base_age_is_refused() -> None:
    with pytest.raises(ValueError, match="no base age"):
        usda_range_in(3, "Vine")
