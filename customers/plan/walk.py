"""A wall walk: once round the building, leg by leg, ending where it began.

Each leg is walked for its length, then turned at its end, left positive; the first heads east
unless told otherwise. What is left between the end and the start is the misclosure. The compass
rule (Bowditch) spreads it over the legs in proportion to their lengths; perimeter over misclosure
is the relative precision; the area is that of the adjusted corners by the shoelace formula, with
the segments of curved stretches added. (Any handbook of surveying; checked against the worked
traverses in tests/outside/test_walk.py.)
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import accumulate

from customers.plan import faults
from customers.plan.arcs import Arc, Point, Side
from customers.plan.legs import FARTHEST_MM, Leg, MeasuredLeg, Number, Problem
from customers.plan.suspects import OpenWalk, Suspect, diagnosis, suspects, turn_excess
from shared.length import System
from shared.wording import Translate

__all__ = ["ClosedWalk", "Leg", "Problem", "Suspect", "close_walk"]

# Our own choice: a gap within one part in 300 of the way round is tape and corners; more is a
# slip. An inch is always allowed, and a degree for each turn, as errors of turns add up: √n.
ALLOWED_PART = 300
ALLOWED_MM = 25.4
ALLOWED_DEG = 1.0
# Our own choice too: a gap beyond one part in 20 is no error to be spread, but legs still to come.
UNDER_WAY_PART = 20


@dataclass(frozen=True)
class ClosedWalk:
    """A walk and its adjustment. Lengths in mm, the first corner at 0, 0, x to the east."""

    ids: tuple[str, ...]
    # As walked, unadjusted: one point more than there are legs.
    walked_mm: tuple[Point, ...]
    turns_deg: tuple[float, ...]
    rises_mm: tuple[float, ...]
    # The way along every leg as measured, curve and all.
    lengths_mm: tuple[float, ...]
    bad_readings: tuple[Problem, ...] = field(default=(), repr=False)

    @property
    def gap_mm(self) -> Point:
        """Return from where the walk began to where it ended."""
        return self.walked_mm[-1]

    @property
    def misclosure_mm(self) -> float:
        return math.hypot(*self.gap_mm)

    @cached_property
    def perimeter_mm(self) -> float:
        """Return the way round as measured, along the curves."""
        return math.fsum(self.lengths_mm)

    @property
    def precision(self) -> float:
        """Return n of "one part in n": perimeter over misclosure, infinite where it closes."""
        return self.perimeter_mm / self.misclosure_mm if self.misclosure_mm else math.inf

    @property
    def turn_excess_deg(self) -> float:
        """Return what the turns sum to beyond once round, to whichever side is nearer."""
        return turn_excess(math.fsum(self.turns_deg))

    @property
    def allowed_gap_mm(self) -> float:
        return max(self.perimeter_mm / ALLOWED_PART, ALLOWED_MM)

    @property
    def allowed_excess_deg(self) -> float:
        return ALLOWED_DEG * math.sqrt(max(1, len(self.ids)))

    @property
    def closes(self) -> bool:
        """Return whether gap and turns are within what is allowed."""
        in_place = self.misclosure_mm <= self.allowed_gap_mm
        return in_place and abs(self.turn_excess_deg) <= self.allowed_excess_deg

    @property
    def is_under_way(self) -> bool:
        """Return whether so much is missing that the walk is no outline yet."""
        return self.precision < UNDER_WAY_PART

    @cached_property
    def corners_mm(self) -> tuple[Point, ...]:
        """Return where every leg starts, adjusted by the compass rule."""
        chords = [math.dist(a, b) for a, b in zip(self.walked_mm, self.walked_mm[1:], strict=False)]
        whole = math.fsum(chords) or 1.0
        gap_x, gap_y = self.gap_mm
        parts = [gone / whole for gone in accumulate(chords, initial=0.0)]
        return tuple(
            (x - gap_x * part, y - gap_y * part)
            for (x, y), part in zip(self.walked_mm[:-1], parts, strict=False)
        )

    @cached_property
    def sides(self) -> tuple[Side, ...]:
        """Return the legs as they lie after adjustment."""
        corners = self.corners_mm
        ends = (*corners[1:], *corners[:1])
        return tuple(map(Side, corners, ends, self.rises_mm))

    @cached_property
    def drawn_sides(self) -> tuple[Side, ...]:
        """Return the legs as they are drawn: as walked while under way, else adjusted."""
        if not self.is_under_way:
            return self.sides
        return tuple(map(Side, self.walked_mm[:-1], self.walked_mm[1:], self.rises_mm))

    @cached_property
    def outline_mm(self) -> tuple[Point, ...]:
        """Return what is drawn, curves as short straight pieces; open while under way."""
        points = tuple(point for side in self.drawn_sides for point in side.points())
        return (*points, self.walked_mm[-1]) if self.is_under_way else points

    @cached_property
    def signed_area_mm2(self) -> float:
        """Return the area, positive when walked with the building to the left."""
        cross = math.fsum(
            side.start[0] * side.end[1] - side.end[0] * side.start[1] for side in self.sides
        )
        return cross / 2 - math.fsum(side.arc.segment for side in self.sides)

    @property
    def clockwise(self) -> bool:
        """Return whether the building is to the right; by the turns while under way."""
        return (math.fsum(self.turns_deg) if self.is_under_way else self.signed_area_mm2) < 0

    @property
    def area_m2(self) -> float | None:
        """Return the area in m²; None where the walk crosses itself and has none."""
        return None if self.crossings else abs(self.signed_area_mm2) / 1e6

    @cached_property
    def crossings(self) -> tuple[tuple[int, int], ...]:
        """Return the pairs of legs that cross or touch away from their common corner."""
        return faults.crossings(self.drawn_sides)

    @cached_property
    def problems(self) -> tuple[Problem, ...]:
        """Return all that is wrong, readings first; empty for a sound walk."""
        if found := (*self.bad_readings, *faults.count(self.rises_mm)):
            return found
        turned, excess = math.fsum(self.turns_deg), self.turn_excess_deg
        return (
            *faults.crossing(self.crossings, self.ids),
            *faults.turns(turned, excess, self.allowed_excess_deg, self.suspects),
            *faults.gap(self.misclosure_mm, self.precision, self.allowed_gap_mm, self.suspects),
        )

    @cached_property
    def suspects(self) -> tuple[Suspect, ...]:
        """Return which single reading would close the walk, best first.

        Empty where it closes, and where a reading is plainly wrong or legs are missing.
        """
        if self.closes or self.bad_readings or any(faults.count(self.rises_mm)):
            return ()
        allowed = (self.allowed_gap_mm, self.allowed_excess_deg)
        return suspects(OpenWalk(self.ids, self.walked_mm, self.turns_deg, *allowed))

    def diagnosis(self, system: System = "imperial", translate: Translate = str) -> str:
        """Return in words which leg or turn to look at again; empty where the walk closes."""
        return diagnosis(self.suspects, system, translate)

    def at(self, leg: int, distance_mm: float) -> tuple[Point, float]:
        """Return the point at a distance along a leg as measured, and the heading there.

        The heading is in degrees left of east. The adjusted leg is stretched to fit; distances
        beyond its ends are taken for the ends.
        """
        length = self.lengths_mm[leg]
        part = min(1.0, max(0.0, distance_mm / length)) if length else 0.0
        return self.drawn_sides[leg].at(part)


def close_walk(legs: Sequence[MeasuredLeg], *, heading_deg: Number = 0) -> ClosedWalk:
    """Walk the legs. Never raises for what was measured: see .problems.

    `heading_deg` is that of the first leg, to the left from east. A length below zero, or what
    is no number, counts as zero, so that the rest can still be drawn.
    """
    chords = [max(0.0, _number(leg.length_mm)) for leg in legs]
    turns = [_number(leg.turn_deg) for leg in legs]
    rises = [_number(leg.rise_mm) for leg in legs]
    headings = accumulate(turns, initial=_number(heading_deg))
    corners: list[Point] = [(0.0, 0.0)]
    for chord, heading in zip(chords, headings, strict=False):
        x, y = corners[-1]
        cos, sin = _direction(heading)
        corners.append((x + chord * cos, y + chord * sin))
    return ClosedWalk(
        ids=tuple(leg.id for leg in legs),
        walked_mm=tuple(corners),
        turns_deg=tuple(turns),
        rises_mm=tuple(rises),
        lengths_mm=tuple(Arc(*leg).length for leg in zip(chords, rises, strict=True)),
        bad_readings=tuple(faults.readings(legs)),
    )


def _number(reading: Number) -> float:
    if not faults.is_number(reading):
        return 0.0
    return min(FARTHEST_MM, max(-FARTHEST_MM, float(reading)))


def _direction(heading_deg: float) -> tuple[float, float]:
    """Return cosine and sine, exact at right angles, so that a square house closes to 0."""
    quarter = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}
    heading = heading_deg % 360
    return quarter.get(heading) or (
        math.cos(math.radians(heading)),
        math.sin(math.radians(heading)),
    )
