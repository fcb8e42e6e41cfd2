"""Real building footprints, walked leg by leg, against shapely.

Source: opengeos/data 6d9ff54 (MIT), from MTBF-33 (Uhl and Leyk, 2022). The reference holds the
rings in feet and the perimeters and areas that shapely gave for them.
"""

import json
import math
from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest
import shapely

from customers.plan.walk import ClosedWalk, Leg, close_walk
from shared.length import Length
from tests.published import shared_data

FOOT = 304.8

Ring = list[tuple[float, float]]


def houses() -> list[dict[str, Any]]:
    path = shared_data("footprints", "houses_reference.json")
    cases: list[dict[str, Any]] = json.loads(path.read_text("utf-8"))["cases"]
    assert len(cases) == 26
    return cases


def rings() -> list[Ring]:
    """Every ring in feet without its last point: the walls and the courtyards."""
    given = [ring for case in houses() for ring in (case["ring_ft"], *case["inner_rings_ft"])]
    assert len(given) == 28
    return [[(x, y) for x, y in ring[:-1]] for ring in given]


def legs_of(ring: Ring, *, to_the_sixteenth: bool = False) -> tuple[list[Leg], float]:
    """Return what one would measure on a walk round the ring, and the first heading."""
    vectors = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise([*ring, ring[0]])]
    headings = [math.degrees(math.atan2(y, x)) for x, y in vectors]
    turns = [
        math.remainder(after - before, 360) for before, after in pairwise([*headings, headings[0]])
    ]
    lengths = [math.hypot(*vector) * FOOT for vector in vectors]
    if to_the_sixteenth:
        tape = [Length(Decimal(length)).feet_inches() for length in lengths]
        lengths = [float(Length.parse(text).mm) for text in tape]
    return [Leg(*leg) for leg in zip(lengths, turns, strict=True)], headings[0]


def walk_round(ring: Ring) -> ClosedWalk:
    legs, heading = legs_of(ring)
    return close_walk(legs, heading_deg=heading)


def ft2(walk: ClosedWalk) -> float:
    assert walk.area_m2 is not None
    return walk.area_m2 / (FOOT / 1000) ** 2


def test_perimeters_and_areas_of_every_house() -> None:
    for house in houses():
        outer, *inner = (
            walk_round([(x, y) for x, y in ring[:-1]])
            for ring in (house["ring_ft"], *house["inner_rings_ft"])
        )
        round_all = (outer.perimeter_mm + sum(walk.perimeter_mm for walk in inner)) / FOOT
        net = ft2(outer) - sum(map(ft2, inner))
        assert outer.perimeter_mm / FOOT == pytest.approx(
            house["perimeter_exterior_ft"], abs=0.0001
        )
        assert round_all == pytest.approx(house["perimeter_all_rings_ft"], abs=0.0001)
        assert ft2(outer) == pytest.approx(house["area_exterior_ft2"], abs=0.001)
        assert net == pytest.approx(house["area_net_ft2"], abs=0.001)
        assert outer.clockwise is not house["ccw"]


def test_every_ring_against_shapely_here() -> None:
    for ring in rings():
        walk = walk_round(ring)
        polygon = shapely.Polygon(ring)
        assert walk.perimeter_mm / FOOT == pytest.approx(polygon.length, rel=1e-12)
        assert ft2(walk) == pytest.approx(polygon.area, rel=1e-9)
        placed = [(ring[0][0] + x / FOOT, ring[0][1] + y / FOOT) for x, y in walk.corners_mm]
        for ours, theirs in zip(placed, ring, strict=True):
            assert ours == pytest.approx(theirs, abs=1e-6)


def test_every_house_closes_and_has_no_problem() -> None:
    for ring in rings():
        walk = walk_round(ring)
        assert walk.misclosure_mm < 1e-6
        assert walk.turn_excess_deg == pytest.approx(0, abs=1e-9)
        assert walk.problems == ()
        assert walk.diagnosis() == ""


def test_every_house_as_a_tape_would_give_it() -> None:
    """Lengths to a sixteenth of an inch: half a mark a leg for the gap, about that for the area."""
    for ring in rings():
        legs, heading = legs_of(ring, to_the_sixteenth=True)
        walk = close_walk(legs, heading_deg=heading)
        assert walk.misclosure_mm <= len(ring) * 1.5875 / 2
        strip = walk.perimeter_mm * 1.5875 / 2 / FOOT**2
        assert ft2(walk) == pytest.approx(shapely.Polygon(ring).area, abs=strip)
        assert walk.problems == ()


def test_a_slip_of_ten_feet_is_found_on_every_wall_of_every_house() -> None:
    """The misread leg is among those that cannot be told apart, and mending it closes the walk."""
    for ring in rings():
        legs, heading = legs_of(ring)
        for index, leg in enumerate(legs):
            slipped = Leg(float(leg.length_mm) + 10 * FOOT, leg.turn_deg)
            walk = close_walk([*legs[:index], slipped, *legs[index + 1 :]], heading_deg=heading)
            accused = {each.leg: each for each in walk.suspects if each.kind == "length"}
            assert "gap" in {problem.code for problem in walk.problems}
            assert accused[index].change == pytest.approx(-10 * FOOT)
            assert accused[index].score - walk.suspects[0].score < 1e-6
