"""Walks round invented houses, for the tests of the wall walk."""

import math
from dataclasses import replace

from customers.plan.walk import ClosedWalk, Leg, close_walk

FOOT = 304.8


def feet(*legs: tuple[float, float]) -> list[Leg]:
    return [Leg(length * FOOT, turn) for length, turn in legs]


# An L-shaped house, walked with the building to the left.
L_HOUSE = feet((40, 90), (20, 90), (15, -90), (10, 90), (25, 90), (30, 90))
# No two legs of this one are parallel, so that a slip can be pinned on one leg.
ODD_HOUSE = feet((30, 72), (26, 65), (22, 58), (34, 80))


def closed_by_its_last_leg(legs: list[Leg]) -> list[Leg]:
    """Return the legs with one more that runs back to the start, and the turns that fit."""
    walk = close_walk(legs)
    x, y = walk.gap_mm
    home = math.degrees(math.atan2(-y, -x))
    heading = sum(float(leg.turn_deg) for leg in legs[:-1])
    turn = math.remainder(home - heading, 360)
    last = Leg(math.hypot(x, y), math.remainder(-home, 360))
    return [*legs[:-1], replace(legs[-1], turn_deg=turn), last]


def codes(walk: ClosedWalk) -> list[str]:
    return [problem.code for problem in walk.problems]
