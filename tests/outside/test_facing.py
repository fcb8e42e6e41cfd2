"""Which way walls face, against published closed traverses: each printed bearing turned a square.

A wall faces away from the ground inside: to the left of a course that goes round clockwise (its
azimuth less 90 degrees), to the right of one that goes the other way (plus 90).
"""

import math
from decimal import Decimal

import pytest

from customers.plan.document import Leg, Walk
from customers.plan.facing import azimuths
from tests.outside.test_walk import azimuth

# The sources' printed bearings, titles and places as in test_walk.py; beside each, turned by hand.
TRAVERSES = {
    # J. Mahun, Open Access Surveying Library, Traverse Computations, chapters G and I: clockwise.
    "Mahun": [
        ("S 68-05-35 W", "S 21-54-25 E"),
        ("N 19-46-00 W", "S 70-14-00 W"),
        ("N 45-55-20 E", "N 44-04-40 W"),
        ("S 54-59-15 E", "N 35-00-45 E"),
    ],
    # Scribd 493615208, Compass Rule: clockwise.
    "compass rule": [
        ("N 76 E", "N 14 W"),
        ("S 36 E", "N 54 E"),
        ("S 61 W", "S 29 E"),
        ("N 38 W", "S 52 W"),
    ],
    # MSTE 32 Surveying, Area Computations, situation 1, walked back: the other way round.
    "almost perfect": [
        ("N 76.215 E", "S 13.785 E"),
        ("N 32 W", "N 58 E"),
        ("S 78 W", "N 12 W"),
        ("S 30 W", "N 60 W"),
    ],
}


@pytest.mark.parametrize("name", TRAVERSES)
def test_a_wall_faces_its_course_turned_a_square(name: str) -> None:
    courses = [azimuth(course) for course, _ in TRAVERSES[name]]
    turns = [
        math.remainder(here - after, 360)
        for here, after in zip(courses, [*courses[1:], courses[0]], strict=True)
    ]
    legs = (Leg(id=f"leg-{n}", length_mm=Decimal(1), turn_deg=_dec(t)) for n, t in enumerate(turns))
    north_deg = _dec(courses[0])  # An azimuth counts right from north, so north lies left by it.

    found = azimuths(Walk(id="walk-1", legs=tuple(legs)), north_deg)

    expected = [azimuth(faced) for _, faced in TRAVERSES[name]]
    assert [float(each) for each in found] == pytest.approx(expected, abs=1e-6)


def _dec(degrees: float) -> Decimal:
    return Decimal(str(round(degrees, 9)))
