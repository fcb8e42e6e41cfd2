"""Which way walls face: small houses drawn by hand."""

from dataclasses import replace
from decimal import Decimal

import pytest

from customers.plan.document import PlanDocument, Walk
from customers.plan.facing import azimuths, exposures, quarter
from tests.customers.plan.houses import house, leg

LEFT, RIGHT = 90, -90
EAST = 90  # north_deg of a walk whose first leg heads east: north lies square to its left


def walk(*turns: float | str, kind: str = "house") -> Walk:
    legs = (leg(n, turn_deg=Decimal(str(turn))) for n, turn in enumerate(turns, start=1))
    return Walk(id="walk-1", kind=kind, legs=tuple(legs))


def faces(drawn: Walk, north_deg: float | str) -> str:
    plan = PlanDocument(walks=(drawn,), north_deg=Decimal(str(north_deg)), north_known=True)
    return " ".join(exposures(plan).values())


@pytest.mark.parametrize(
    ("drawn", "north_deg", "sides"),
    [
        (walk(LEFT, LEFT, LEFT, LEFT), EAST, "south east north west"),
        (walk(RIGHT, RIGHT, RIGHT, RIGHT), EAST, "north east south west"),
        # The first leg heads north, then south, then 30 degrees to the east of north.
        (walk(LEFT, LEFT, LEFT, LEFT), 0, "east north west south"),
        (walk(LEFT, LEFT, LEFT, LEFT), 180, "west south east north"),
        (walk(LEFT, LEFT, LEFT, LEFT), -180, "west south east north"),
        (walk(LEFT, LEFT, LEFT, LEFT), 30, "east north west south"),
        (walk(LEFT, LEFT, LEFT, LEFT), 360, "east north west south"),
        # Walls half way between two winds: the later one, clockwise, has them.
        (walk(LEFT, LEFT, LEFT, LEFT), 45, "south east north west"),
        (walk(LEFT, LEFT, LEFT, LEFT), "44.99", "east north west south"),
        # An L: east 40, north 20, west 10, north 10 (the corner that goes in), west 30, south 30.
        (walk(LEFT, LEFT, RIGHT, LEFT, LEFT, LEFT), EAST, "south east north east north west"),
        # The same L with the building to the right, from the same corner: north first.
        (walk(RIGHT, RIGHT, LEFT, RIGHT, RIGHT, RIGHT), 0, "west north east north east south"),
        # A square with one corner cut off: the slanting wall faces north-east, and so east.
        (walk(LEFT, 45, 45, LEFT, LEFT), EAST, "south east east north west"),
        # An eighth less of a turn: a wall that faces 20 degrees east of north.
        (walk(LEFT, 70, 20, LEFT, LEFT), EAST, "south east north north west"),
        # Round a courtyard the building is on the other hand.
        (walk(LEFT, LEFT, LEFT, LEFT, kind="courtyard"), EAST, "north west south east"),
        # A triangle of 60 degrees: 180, 60 and 300 degrees from north.
        (walk(120, 120, 120), EAST, "south east west"),
        # Corners a little out, as they are measured: within a degree for each, by the root of n.
        (walk(89, "89.5", 90, 90), EAST, "south east north west"),
    ],
)
def test_exposures(drawn: Walk, north_deg: float, sides: str) -> None:
    assert faces(drawn, north_deg) == sides


@pytest.mark.parametrize(
    ("drawn", "north_deg", "degrees"),
    [
        (walk(LEFT, LEFT, LEFT, LEFT), EAST, [180, 90, 0, 270]),
        (walk(RIGHT, RIGHT, RIGHT, RIGHT), "12.5", ["282.5", "12.5", "102.5", "192.5"]),
        (walk(LEFT, 45, 45, LEFT, LEFT), EAST, [180, 90, 45, 0, 270]),
    ],
)
def test_azimuths_are_exact(drawn: Walk, north_deg: float, degrees: list[float | str]) -> None:
    assert azimuths(drawn, Decimal(str(north_deg))) == [Decimal(str(each)) for each in degrees]


@pytest.mark.parametrize(
    ("azimuth", "side"),
    [
        (0, "north"),
        ("44.99", "north"),
        (45, "east"),
        (135, "south"),
        (180, "south"),
        (225, "west"),
        ("314.99", "west"),
        (315, "north"),
        ("359.99", "north"),
    ],
)
def test_a_quarter_begins_half_way(azimuth: float, side: str) -> None:
    assert quarter(Decimal(str(azimuth))) == side


def test_says_nothing_of_a_wall_that_the_plan_says_nothing_of() -> None:
    square = house()
    second = Walk(id="walk-2", kind="garage", legs=(leg(5), leg(6), leg(7), leg(8)))
    two = replace(square, walks=(*square.walks, second), north_known=True)

    assert set(exposures(square).values()) == {""}  # nobody took north
    assert list(exposures(two).values()) == ["south", "east", "north", "west", "", "", "", ""]
    assert faces(walk(LEFT, LEFT, LEFT), EAST) == "  "  # a corner is still to come
    assert faces(walk(LEFT, RIGHT, LEFT, RIGHT), EAST) == "   "  # never once round
    assert exposures(PlanDocument(north_known=True)) == {}


def test_older_plans_know_north_where_it_was_set() -> None:
    turned = replace(house(), north_deg=Decimal(180))

    assert list(exposures(turned).values()) == ["west", "south", "east", "north"]


def test_a_wall_inside_a_dry_garage_faces_no_weather() -> None:
    plan = house(legs=(leg(2, 8_000, inside_dry=True),))

    assert exposures(plan) == {"leg-1": "", "leg-2": "indoors", "leg-3": "", "leg-4": ""}
