import math
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from customers.plan.walk import Leg, close_walk
from tests.customers.plan.walks import FOOT, L_HOUSE, codes, feet


def test_a_house_of_right_angles_closes_exactly() -> None:
    walk = close_walk(L_HOUSE)

    assert walk.misclosure_mm < 1e-9
    assert walk.precision > 1e9
    assert walk.perimeter_mm == pytest.approx(140 * FOOT)
    assert walk.area_m2 == pytest.approx((40 * 20 + 25 * 10) * FOOT**2 / 1e6)
    assert walk.problems == ()
    assert walk.diagnosis() == ""
    assert not walk.clockwise


def test_whole_millimetres_close_to_nothing() -> None:
    walk = close_walk([Leg(length) for length in (4000, 3000, 4000, 3000)])

    assert walk.misclosure_mm == 0.0
    assert math.isinf(walk.precision)
    assert list(walk.corners_mm) == [(0, 0), (4000, 0), (4000, 3000), (0, 3000)]
    assert walk.area_m2 == 12


def test_turns_are_right_angles_to_the_left_unless_said() -> None:
    assert close_walk([Leg(Decimal(1000))] * 4).turns_deg == (90.0,) * 4


def test_walks_either_way_round() -> None:
    left = close_walk(L_HOUSE)
    right = close_walk([replace(leg, turn_deg=-leg.turn_deg) for leg in L_HOUSE])

    assert right.clockwise
    assert right.area_m2 == pytest.approx(left.area_m2)
    assert right.problems == ()


def test_the_first_leg_heads_east_unless_said() -> None:
    north = close_walk(L_HOUSE, heading_deg=90)

    assert north.corners_mm[1] == pytest.approx((0, 40 * FOOT))
    assert north.area_m2 == pytest.approx(close_walk(L_HOUSE).area_m2)


def test_straight_on_is_a_turn_too() -> None:
    walk = close_walk(feet((20, 0), (20, 90), (30, 90), (40, 90), (30, 90)))

    assert walk.problems == ()
    assert walk.area_m2 == pytest.approx(1200 * FOOT**2 / 1e6)


def test_the_compass_rule_spreads_the_gap_by_length() -> None:
    walk = close_walk([Leg(4000), Leg(3000), Leg(3986), Leg(3000)])

    assert walk.gap_mm == pytest.approx((14, 0))
    assert walk.misclosure_mm == pytest.approx(14)
    assert walk.precision == pytest.approx(13986 / 14)
    assert walk.corners_mm[1] == pytest.approx((4000 - 14 * 4000 / 13986, 0))
    assert walk.problems == ()
    assert walk.closes


@given(
    st.lists(
        st.tuples(st.floats(100, 30_000), st.floats(-170, 170), st.floats(-50, 50)),
        min_size=3,
        max_size=20,
    )
)
def test_every_side_takes_its_share_of_the_gap(readings: list[tuple[float, float, float]]) -> None:
    walk = close_walk([Leg(*reading) for reading in readings])

    whole = math.fsum(length for length, _, _ in readings)
    (gap_x, gap_y), raw = walk.gap_mm, walk.walked_mm
    for index, ((length, _, _), side) in enumerate(zip(readings, walk.sides, strict=True)):
        x = raw[index + 1][0] - raw[index][0] - gap_x * length / whole
        y = raw[index + 1][1] - raw[index][1] - gap_y * length / whole
        assert side.end[0] - side.start[0] == pytest.approx(x, abs=1e-6)
        assert side.end[1] - side.start[1] == pytest.approx(y, abs=1e-6)


# Curved stretches.


def test_a_bay_of_half_a_circle() -> None:
    walk = close_walk([Leg(4000), Leg(2000, rise_mm=-1000), Leg(4000), Leg(2000)])

    assert walk.perimeter_mm == pytest.approx(10_000 + math.pi * 1000)
    assert walk.area_m2 == pytest.approx(8 + math.pi / 2)
    assert walk.problems == ()
    point, heading = walk.at(1, math.pi * 500)
    assert point == pytest.approx((5000, 1000))
    assert heading == pytest.approx(90)


def test_a_hollow_takes_from_the_area() -> None:
    walk = close_walk([Leg(4000), Leg(2000, rise_mm=500), Leg(4000), Leg(2000)])

    radius = 2000**2 / (8 * 500) + 500 / 2
    angle = 4 * math.atan(0.5)
    assert walk.lengths_mm[1] == pytest.approx(radius * angle)
    assert walk.area_m2 == pytest.approx(8 - radius**2 / 2 * (angle - math.sin(angle)) / 1e6)


def test_a_round_tower_in_two_halves() -> None:
    walk = close_walk([Leg(2000, 180, -1000), Leg(2000, 180, -1000)])

    assert walk.problems == ()
    assert walk.perimeter_mm == pytest.approx(math.tau * 1000)
    assert walk.area_m2 == pytest.approx(math.pi)


def test_more_than_half_a_circle() -> None:
    """A bow window of three quarters: chord r√2, rise r(1 + 1/√2), arc 3πr/2."""
    walk = close_walk([Leg(1000 * math.sqrt(2), rise_mm=1000 * (1 + math.sqrt(0.5)))])

    assert walk.perimeter_mm == pytest.approx(1500 * math.pi)


@given(st.floats(1e-9, 3e-4))
def test_a_wall_that_is_nearly_straight_loses_no_digits(slope: float) -> None:
    walk = close_walk([Leg(1000), Leg(1000, rise_mm=-1000 * slope), Leg(1000), Leg(1000)])

    assert walk.lengths_mm[1] == pytest.approx(1000 * (1 + 8 / 3 * slope**2), rel=1e-12)
    assert walk.signed_area_mm2 - 1e6 == pytest.approx(2 / 3 * 1e6 * slope, rel=1e-4, abs=1e-8)


def test_series_and_circle_agree_where_they_meet() -> None:
    radius = (1 / (8 * 0.001) + 0.001 / 2) * 1000
    walk = close_walk([Leg(1000), Leg(1000, rise_mm=-1), Leg(1000), Leg(1000)])

    assert walk.lengths_mm[1] == pytest.approx(radius * 4 * math.atan(0.002), rel=1e-13)


def test_the_outline_follows_the_curves() -> None:
    walk = close_walk([Leg(4000), Leg(2000, rise_mm=-1000), Leg(4000), Leg(2000)])

    assert len(walk.outline_mm) == 3 + 36
    assert max(x for x, _ in walk.outline_mm) == pytest.approx(5000)


@pytest.mark.parametrize(
    ("distance", "point"), [(-5, (0, 0)), (0, (0, 0)), (1000, (1000, 0)), (9000, (4000, 0))]
)
def test_finds_a_place_along_a_leg(distance: float, point: tuple[float, float]) -> None:
    walk = close_walk([Leg(4000), Leg(2000), Leg(4000), Leg(2000)])

    assert walk.at(0, distance)[0] == pytest.approx(point)
    assert walk.at(0, distance)[1] == 0


# What is wrong, and where.


@pytest.mark.parametrize(
    ("leg", "code", "field"),
    [
        (Leg(0), "no_length", "length_mm"),
        (Leg(-3000), "negative_length", "length_mm"),
        (Leg(4), "absurd_length", "length_mm"),
        (Leg(400_000), "absurd_length", "length_mm"),
        (Leg(math.nan), "no_number", "length_mm"),
        (Leg(Decimal("sNaN")), "no_number", "length_mm"),
        (Leg(math.inf), "no_number", "length_mm"),
        (Leg(3000, math.nan), "no_number", "turn_deg"),
        (Leg(3000, 180), "turns_back", "turn_deg"),
        (Leg(3000, -270), "turns_back", "turn_deg"),
        (Leg(3000, 90, 6001), "absurd_rise", "rise_mm"),
        (Leg(3000, 90, math.inf), "no_number", "rise_mm"),
    ],
)
def test_names_the_reading_that_is_wrong(leg: Leg, code: str, field: str) -> None:
    legs = [Leg(4000), Leg(3000), replace(leg, id="leg-3"), Leg(3000)]

    problem = close_walk(legs).problems[0]

    assert (problem.code, problem.leg, problem.leg_id, problem.field) == (code, 2, "leg-3", field)
    assert "eg 3" in problem.message
    assert close_walk(legs).suspects == ()


@pytest.mark.parametrize("count", [0, 1, 2])
def test_too_few_legs(count: int) -> None:
    walk = close_walk([Leg(3000)] * count)

    assert codes(walk) == ["too_few_legs"]
    assert walk.problems[0].leg is None
    assert walk.problems[0].field == "legs"


def test_a_walk_that_crosses_itself_has_no_area() -> None:
    walk = close_walk(
        [Leg(5000, -126.87), Leg(3000, -126.87), Leg(5000, 126.87), Leg(3000, 126.87)]
    )

    assert "crosses_itself" in codes(walk)
    assert walk.crossings
    assert walk.area_m2 is None


def test_names_the_legs_that_cross() -> None:
    walk = close_walk([Leg(6000), Leg(3000), Leg(3000), Leg(5000), Leg(2000), Leg(8000, -90)])

    assert (0, 3) in walk.crossings
    assert walk.problems[0].message == ("Leg 4 crosses leg 1. Is a turn left that should be right?")


def test_a_wall_walked_twice_crosses_itself() -> None:
    walk = close_walk([Leg(6000), Leg(3000), Leg(3000), Leg(3000, -90), Leg(3000, 180)])

    assert walk.crossings == ((0, 3), (0, 4))


def test_turns_that_do_not_sum() -> None:
    legs = [*L_HOUSE[:-1], replace(L_HOUSE[-1], turn_deg=0)]

    walk = close_walk(legs)

    assert codes(walk) == ["turns_sum"]
    assert walk.turn_excess_deg == -90
    assert walk.problems[0].leg == 5
    assert walk.problems[0].field == "turn_deg"
    assert walk.problems[0].message == "The turns sum to 270°: they are 90° off once round."
    assert walk.diagnosis() == "The turn after leg 6 looks like 90° left, not straight on."


def test_an_inch_is_allowed_on_a_small_walk() -> None:
    assert close_walk([Leg(600), Leg(400), Leg(580), Leg(400)]).problems == ()
    assert codes(close_walk([Leg(600), Leg(400), Leg(570), Leg(400)])) == ["gap"]


def test_errors_of_turns_add_up_by_the_root_of_their_number() -> None:
    def regular(count: int, excess: float) -> list[str]:
        legs = [Leg(3000, 360 / count)] * (count - 1)
        return codes(close_walk([*legs, Leg(3000, 360 / count + excess)]))

    assert regular(16, 3.9) == []
    assert regular(16, 4.1) == ["turns_sum"]
    assert regular(4, 1.9) == []
    assert regular(4, -2.1) == ["turns_sum"]


def test_speaks_the_readers_language() -> None:
    words = {
        "leg {number}": "tramo {number}",
        "{leg} looks {by} long": "{leg} parece {by} largo",
        "{leg} looks {by} short": "{leg} parece {by} corto",
        ", or ": ", o ",
        "{leg} has no length.": "{leg} no tiene longitud.",
    }
    walk = close_walk(feet((40, 90), (30, 90), (38, 90), (30, 90)))
    empty = close_walk([Leg(0), Leg(1000), Leg(1000)])

    said = walk.diagnosis("metric", lambda text: words[text])

    assert said == "Tramo 1 parece 0.610 m largo, o tramo 3 parece 0.610 m corto."
    assert empty.problems[0].said("metric", lambda text: words[text]) == (
        "Tramo 1 no tiene longitud."
    )


def test_speaks_of_legs_by_their_ids() -> None:
    walk = close_walk([Leg(4000), Leg(3000), Leg(0, id="garage-side"), Leg(3000)])

    assert walk.problems[0].message == "Garage side has no length."


extreme = st.one_of(
    st.floats(),
    st.decimals(),
    st.integers(-(10**40), 10**40),
    st.sampled_from([0, 1e-320, 1e308, 90, 180]),
)


@given(st.lists(st.builds(Leg, extreme, extreme, extreme, st.text(max_size=5)), max_size=6))
def test_never_raises_for_what_was_measured(legs: list[Leg]) -> None:
    walk = close_walk(legs)

    messages = [problem.message for problem in walk.problems]
    assert all(messages)
    assert walk.diagnosis() is not None
    assert math.isfinite(walk.misclosure_mm)
    assert math.isfinite(walk.perimeter_mm)
    assert walk.area_m2 is None or math.isfinite(walk.area_m2)


def test_a_walk_under_way_keeps_its_square_corners() -> None:
    """Four legs of an L: spread over them, the gap would bend every corner and cross the legs."""
    walk = close_walk([Leg(12_000, 90), Leg(7_000, 90), Leg(5_000, -90), Leg(4_000, 90)])

    assert walk.is_under_way
    ends = [(round(side.end[0]), round(side.end[1])) for side in walk.drawn_sides]
    assert ends == [(12_000, 0), (12_000, 7_000), (7_000, 7_000), (7_000, 11_000)]
    assert walk.outline_mm[-1] == walk.walked_mm[-1]
    assert "crosses_itself" not in codes(walk)
    assert not walk.clockwise


def test_a_slip_of_the_tape_is_spread() -> None:
    walk = close_walk([Leg(12_000, 90), Leg(7_000, 90), Leg(11_500, 90), Leg(7_000, 90)])

    assert not walk.is_under_way
    assert walk.drawn_sides == walk.sides
