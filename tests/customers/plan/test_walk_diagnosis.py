"""Which reading a walk that does not close accuses."""

from dataclasses import replace

import pytest

from customers.plan.walk import close_walk
from tests.customers.plan.walks import FOOT, L_HOUSE, ODD_HOUSE, closed_by_its_last_leg, feet


@pytest.mark.parametrize("leg", range(5))
@pytest.mark.parametrize("slip", [-2.0, 2.0, 10.0])
def test_finds_the_leg_that_was_misread(leg: int, slip: float) -> None:
    legs = closed_by_its_last_leg(ODD_HOUSE)
    assert close_walk(legs).problems == ()
    legs[leg] = replace(legs[leg], length_mm=float(legs[leg].length_mm) + slip * FOOT)

    walk = close_walk(legs)

    first = walk.suspects[0]
    assert (first.leg, first.kind) == (leg, "length")
    assert first.change == pytest.approx(-slip * FOOT)
    assert first.gap_mm < 1e-6
    word = "long" if slip > 0 else "short"
    assert walk.diagnosis() == f"Leg {leg + 1} looks {abs(slip):.0f}' 0\" {word}."
    assert [(p.code, p.leg, p.field) for p in walk.problems] == [("gap", leg, "length_mm")]


@pytest.mark.parametrize("leg", range(6))
def test_finds_the_turn_that_went_the_wrong_way(leg: int) -> None:
    legs = list(L_HOUSE)
    legs[leg] = replace(legs[leg], turn_deg=-legs[leg].turn_deg)

    walk = close_walk(legs)

    first = walk.suspects[0]
    assert (first.leg, first.kind) == (leg, "turn")
    assert first.reading + first.change == L_HOUSE[leg].turn_deg
    assert first.gap_mm < 1e-6
    assert f"The turn after leg {leg + 1} looks like 90°" in walk.diagnosis()


@pytest.mark.parametrize("leg", range(5))
def test_finds_the_angle_that_was_misread(leg: int) -> None:
    legs = closed_by_its_last_leg(ODD_HOUSE)
    legs[leg] = replace(legs[leg], turn_deg=float(legs[leg].turn_deg) + 20)

    walk = close_walk(legs)

    assert (walk.suspects[0].leg, walk.suspects[0].kind) == (leg, "turn")
    assert walk.suspects[0].change == pytest.approx(-20)


def test_says_when_legs_cannot_be_told_apart() -> None:
    walk = close_walk(feet((40, 90), (30, 90), (38, 90), (30, 90)))

    assert walk.diagnosis() == "Leg 1 looks 2' 0\" long, or leg 3 looks 2' 0\" short."
    assert walk.diagnosis("metric") == "Leg 1 looks 0.610 m long, or leg 3 looks 0.610 m short."
    assert walk.problems[0].message == (
        "The walk ends 2' 0\" from where it began: one part in 69 of the way."
    )
    assert walk.problems[0].leg is None


def test_never_accuses_a_leg_shorter_than_the_slip() -> None:
    walk = close_walk(feet((36, 90), (30, 90), (1, -90), (5, 90), (37, 90), (35, 90)))

    assert walk.misclosure_mm == pytest.approx(2 * FOOT)
    explaining = {each.leg for each in walk.suspects if each.kind == "length" and each.explains}
    assert explaining == {0, 4}
    assert walk.diagnosis() == "Leg 5 looks 2' 0\" long, or leg 1 looks 2' 0\" short."


def test_never_proposes_a_turn_straight_back() -> None:
    for leg in range(6):
        legs = list(L_HOUSE)
        legs[leg] = replace(legs[leg], turn_deg=-legs[leg].turn_deg)
        turns = [each for each in close_walk(legs).suspects if each.kind == "turn"]
        assert turns
        assert all(abs(each.reading + each.change) < 180 for each in turns)


def test_names_every_leg_within_the_error_of_measurement() -> None:
    legs = closed_by_its_last_leg(feet((30, 90), (26, 89.9), (31, 80), (11, 45)))
    legs[0] = replace(legs[0], length_mm=float(legs[0].length_mm) - 2 * FOOT)

    said = close_walk(legs).diagnosis()

    assert "eg 1 looks 2' 0\" short" in said
    assert "eg 3 looks 2' 0\" long" in said


@pytest.mark.parametrize("leg", range(4))
def test_finds_a_turn_though_the_sum_was_made_to_fit(leg: int) -> None:
    legs = closed_by_its_last_leg(ODD_HOUSE)
    legs[leg] = replace(legs[leg], turn_deg=float(legs[leg].turn_deg) + 1.5)
    legs[4] = replace(legs[4], turn_deg=float(legs[4].turn_deg) - 1.5)

    walk = close_walk(legs)

    turns = {each.leg: each for each in walk.suspects if each.kind == "turn"}
    assert turns[leg].change == pytest.approx(-1.5)
    assert turns[leg].gap_mm < 1e-6


def test_says_when_nothing_explains_the_gap() -> None:
    legs = closed_by_its_last_leg(ODD_HOUSE)
    legs[0] = replace(legs[0], length_mm=float(legs[0].length_mm) + 9 * FOOT)
    legs[3] = replace(legs[3], turn_deg=float(legs[3].turn_deg) + 35)

    assert close_walk(legs).diagnosis().startswith("No single length or turn explains the gap")
