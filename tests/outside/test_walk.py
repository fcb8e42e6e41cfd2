"""Wall walks against published closed traverses, to the digits that their sources print.

The sources give azimuths clockwise from north and latitudes (north) and departures (east); a walk
gives x to the east and y to the north. Lengths are fed as feet and compared in feet.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

import pytest

from customers.plan.walk import ClosedWalk, Leg, close_walk

FOOT = 304.8


def azimuth(bearing: str) -> float:
    """Return a quadrant bearing, as "S 68-05-35 W" or "S 76.215 W", in degrees from north."""
    north_south, angle, east_west = bearing.split()
    degrees, minutes, seconds = (*map(float, angle.split("-")), 0.0, 0.0)[:3]
    acute = degrees + minutes / 60 + seconds / 3600
    return {"NE": acute, "SE": 180 - acute, "SW": 180 + acute, "NW": 360 - acute}[
        north_south + east_west
    ]


def walked(courses: Sequence[tuple[float, float]]) -> ClosedWalk:
    """Walk courses of an azimuth and a length in feet."""
    azimuths = [course for course, _ in courses]
    after = [*azimuths[1:], azimuths[0]]
    legs = [
        Leg(length * FOOT, math.remainder(course - next_course, 360))
        for (course, length), next_course in zip(courses, after, strict=True)
    ]
    return close_walk(legs, heading_deg=90 - azimuths[0])


def courses_of(vectors: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return azimuths and lengths of latitudes and departures."""
    return [(math.degrees(math.atan2(dep, lat)), math.hypot(lat, dep)) for lat, dep in vectors]


def round_the(corners: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the courses from each corner, given as north and east, to the next."""
    ring = [*corners, corners[0]]
    return courses_of([(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(ring)])


def unadjusted(walk: ClosedWalk) -> list[tuple[float, float]]:
    """Return latitude and departure of every leg in feet."""
    return [((b[1] - a[1]) / FOOT, (b[0] - a[0]) / FOOT) for a, b in pairwise(walk.walked_mm)]


def adjusted(walk: ClosedWalk) -> list[tuple[float, float]]:
    return [
        ((side.end[1] - side.start[1]) / FOOT, (side.end[0] - side.start[0]) / FOOT)
        for side in walk.sides
    ]


def area_ft2(walk: ClosedWalk) -> float:
    assert walk.area_m2 is not None
    return walk.area_m2 / (FOOT / 1000) ** 2


def double_meridian_distances(vectors: Sequence[tuple[float, float]]) -> list[float]:
    """Return the DMD of every leg, by the rule in which the sources work."""
    distances = [vectors[0][1]]
    for (_, before), (_, departure) in pairwise(vectors):
        distances.append(distances[-1] + before + departure)
    return distances


MAHUN = walked(
    [
        (azimuth("S 68-05-35 W"), 472.68),
        (azimuth("N 19-46-00 W"), 216.13),
        (azimuth("N 45-55-20 E"), 276.52),
        (azimuth("S 54-59-15 E"), 382.24),
    ]
)


class TestMahun:
    """J. Mahun, Open Access Surveying Library, Traverse Computations, chapters G and I."""

    def test_latitudes_and_departures(self) -> None:
        printed = [(-176.357, -438.548), (203.395, -73.093), (192.357, 198.651)]
        printed += [(-219.312, 313.065)]
        assert [(round(lat, 3), round(dep, 3)) for lat, dep in unadjusted(MAHUN)] == printed

    def test_misclosure(self) -> None:
        """Printed from rounded figures: +0.083, +0.075; unrounded 0.0827, 0.0744, 1:12,116."""
        assert MAHUN.perimeter_mm / FOOT == pytest.approx(1347.57)
        assert round(MAHUN.gap_mm[1] / FOOT, 3) == 0.083
        assert MAHUN.gap_mm[0] / FOOT == pytest.approx(0.075, abs=0.001)
        assert round(MAHUN.misclosure_mm / FOOT, 4) == 0.1112
        assert round(MAHUN.precision, 1) == 12115.6
        assert MAHUN.problems == ()

    def test_adjusted_latitudes_and_departures(self) -> None:
        """The source adjusts rounded figures, and so differs by 1 in the last place once."""
        printed = [(-176.386, -438.574), (203.382, -73.105), (192.340, 198.635)]
        printed += [(-219.336, 313.044)]
        for ours, theirs in zip(adjusted(MAHUN), printed, strict=True):
            assert ours == pytest.approx(theirs, abs=0.0007)

    def test_coordinates_to_the_last_digit(self) -> None:
        """From A at N 500.000, E 2000.000."""
        printed = [(500.0, 2000.0), (323.614, 1561.426), (526.996, 1488.321), (719.336, 1686.956)]
        ours = [(500 + y / FOOT, 2000 + x / FOOT) for x, y in MAHUN.corners_mm]
        assert [(round(north, 3), round(east, 3)) for north, east in ours] == printed

    def test_area(self) -> None:
        """Printed 102,935.75 from rounded figures; 102,935.71 unrounded; 2.3631 acres."""
        assert round(area_ft2(MAHUN), 2) == 102_935.71
        assert area_ft2(MAHUN) == pytest.approx(102_935.75, abs=0.05)
        assert round(area_ft2(MAHUN) / 43_560, 4) == 2.3631

    def test_double_meridian_distances(self) -> None:
        printed = [-438.574, -950.253, -824.723, -313.044]
        areas = [77_358.3, -193_264.4, -158_627.2, 68_661.8]
        distances = double_meridian_distances(adjusted(MAHUN))
        assert distances == pytest.approx(printed, abs=0.0011)
        doubled = [d * lat for d, (lat, _) in zip(distances, adjusted(MAHUN), strict=True)]
        assert doubled == pytest.approx(areas, abs=0.3)
        assert abs(sum(doubled)) / 2 == pytest.approx(area_ft2(MAHUN))


def test_compass_rule_in_four_legs() -> None:
    """Scribd 493615208, Compass Rule. The source sums rounded latitudes: agrees within 0.0015."""
    walk = walked(
        [
            (azimuth("N 76 E"), 80.40),
            (azimuth("S 36 E"), 46.30),
            (azimuth("S 61 W"), 72.80),
            (azimuth("N 38 W"), 68.00),
        ]
    )

    assert walk.perimeter_mm / FOOT == pytest.approx(267.5)
    assert walk.gap_mm[1] / FOOT == pytest.approx(0.285, abs=0.0015)
    assert round(walk.gap_mm[0] / FOOT, 3) == -0.311
    assert round(walk.precision, 1) == 635.5
    corrections = [
        (after[0] - before[0], after[1] - before[1])
        for before, after in zip(unadjusted(walk), adjusted(walk), strict=True)
    ]
    assert [lat for lat, _ in corrections] == pytest.approx(
        [-0.0857, -0.0493, -0.0776, -0.0724], abs=0.0006
    )
    assert [dep for _, dep in corrections] == pytest.approx(
        [0.0935, 0.0538, 0.0846, 0.0791], abs=0.00011
    )
    printed = [(19.3653, 78.1055), (-37.5063, 27.2678), (-35.3716, -63.5874)]
    for ours, theirs in zip(adjusted(walk), printed, strict=False):
        assert ours == pytest.approx(theirs, abs=0.0015)
    assert adjusted(walk)[3][0] == pytest.approx(53.5126, abs=0.0015)
    assert round(area_ft2(walk), 3) == 4169.143


def test_almost_perfect_traverse() -> None:
    """MSTE 32 Surveying, Area Computations, situation 1: a bearing in decimal degrees."""
    walk = walked(
        [
            (azimuth("N 30 E"), 120.2),
            (azimuth("N 78 E"), 90.2),
            (azimuth("S 32 E"), 88.4),
            (azimuth("S 76.215 W"), 200.96),
        ]
    )

    printed = [(104.096, 60.1), (18.754, 88.229), (-74.967, 46.845), (-47.885, -195.172)]
    assert [(round(lat, 3), round(dep, 3)) for lat, dep in unadjusted(walk)] == printed
    assert round(walk.misclosure_mm / FOOT, 3) == 0.003
    distances = double_meridian_distances(unadjusted(walk))
    assert [round(distance, 3) for distance in distances[:3]] == [60.1, 208.429, 343.503]
    assert distances[3] == pytest.approx(195.176, abs=0.001)
    rounded = double_meridian_distances(printed)
    doubled = sum(d * lat for d, (lat, _) in zip(rounded, printed, strict=True))
    assert round(doubled, 3) == -24_932.345  # The source multiplies rounded figures.
    unrounded = sum(d * lat for d, (lat, _) in zip(distances, unadjusted(walk), strict=True))
    assert abs(unrounded) / 2 == pytest.approx(12_466.17, abs=0.06)
    assert round(area_ft2(walk), 2) == 12_465.90


def test_tract_given_by_latitudes_and_departures() -> None:
    """Hicks (ed.), Handbook of Civil Engineering Calculations, tract with rectilinear bounds.

    From D on; the answer is recomputed (72,106.19 square feet, 1,058.495 ft round).
    """
    vectors = [(161.9, 143.6), (-35.3, 246.7), (-101.8, 21.3), (-132.3, -135.6)]
    vectors += [(9.6, -77.5), (97.9, -198.5)]

    walk = walked(courses_of(vectors))

    assert walk.misclosure_mm < 1e-6
    distances = double_meridian_distances(unadjusted(walk))
    assert distances == pytest.approx([143.6, 533.9, 801.9, 687.6, 474.5, 198.5])
    assert round(area_ft2(walk), 2) == 72_106.19
    assert round(walk.perimeter_mm / FOOT, 3) == 1058.495


@pytest.mark.parametrize(
    ("corners", "area", "perimeter"),
    [
        # Mahun, chapter G, example 1, from coordinates of three decimals: 102,935.72.
        (
            [(500.0, 2000.0), (323.614, 1561.426), (526.996, 1488.321), (719.336, 1686.956)],
            102_935.72,
            None,
        ),
        # "Traverse with straight sides", C D E A B: printed 140,494, exact 140,493.11.
        (
            [
                (406.31, 1259.97),
                (235.12, 1489.47),
                (65.81, 1126.4),
                (317.89, 942.04),
                (675.32, 1282.54),
            ],
            140_493.11,
            None,
        ),
        # Encyclopaedia example of the shoelace formula; the perimeter from rounded sides.
        ([(6, 1), (1, 3), (2, 7), (4, 4), (5, 8)], 16.5, 24.307996),
    ],
    ids=["Mahun", "straight sides", "shoelace"],
)
@pytest.mark.parametrize("start", range(4))
@pytest.mark.parametrize("way", [1, -1], ids=["one way", "the other way"])
def test_areas_by_coordinates(
    corners: list[tuple[float, float]], area: float, perimeter: float | None, start: int, way: int
) -> None:
    """Any corner to start from and either way round give the same area (Mahun's statement)."""
    walk = walked(round_the([*corners[start:], *corners[:start]][::way]))

    assert area_ft2(walk) == pytest.approx(area, abs=0.006)
    assert perimeter is None or walk.perimeter_mm / FOOT == pytest.approx(perimeter, abs=2e-6)
    assert walk.misclosure_mm < 1e-6


def test_a_crossing_traverse_has_no_area() -> None:
    """Mahun, chapter G: the area of a traverse that crosses itself "doesn't make sense"."""
    walk = walked(round_the([(0, 0), (100, 100), (100, 0), (0, 100)]))

    assert walk.area_m2 is None
    assert walk.problems[0].code == "crosses_itself"


# Published, but wrong: a five-leg example whose latitude misclosure of -0.03 is "corrected" by
# -0.03 more, and whose course CD at azimuth 196-59 has its departure printed as +40.86.


def test_a_misclosure_is_taken_away_not_added_again() -> None:
    printed = [-0.010, -0.003, -0.004, -0.003, -0.010]
    assert sum(printed) == pytest.approx(-0.03)
    assert -0.03 + sum(printed) != 0  # The published error: it should leave nothing.

    walk = walked([(0, 100), (90, 30), (180, 100.03), (270, 30)])

    assert walk.gap_mm[1] / FOOT == pytest.approx(-0.03)
    corrections = [
        after[0] - before[0] for before, after in zip(unadjusted(walk), adjusted(walk), strict=True)
    ]
    assert sum(corrections) == pytest.approx(0.03)
    assert sum(lat for lat, _ in adjusted(walk)) == pytest.approx(0, abs=1e-12)


def test_a_course_to_the_south_west_has_a_negative_departure() -> None:
    length = 40.86 / math.sin(math.radians(16 + 59 / 60))

    latitude, departure = unadjusted(walked([(196 + 59 / 60, length)]))[0]

    assert round(departure, 2) == -40.86
    assert latitude < 0
