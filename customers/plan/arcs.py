"""Curved stretches of wall, measured as chord and rise.

A circle of radius r cut by a chord c leaves a segment of rise h, with r = c²/8h + h/2 and the
angle 4·atan(2h/c) at its centre; arc and area follow (any handbook of mensuration). A rise over
half the chord is more than half a circle, and the formulas hold.
"""

import math
from dataclasses import dataclass

Point = tuple[float, float]

FLAT = 1e-4  # Below this part of the chord the closed forms lose digits, and series serve.


@dataclass(frozen=True, slots=True)
class Arc:
    """A chord and the rise over it, in mm. The rise is positive to the left of the chord."""

    chord: float
    rise: float = 0.0

    @property
    def slope(self) -> float:
        """Return the rise as a part of the chord; 0 where there is no chord."""
        return self.rise / self.chord if self.chord else 0.0

    @property
    def angle(self) -> float:
        """Return the angle at the centre in radians, with the sign of the rise."""
        return 4 * math.atan(2 * self.slope)

    @property
    def radius(self) -> float:
        """Return the radius in mm; infinite for a straight stretch."""
        if not self.slope:
            return math.inf
        return self.chord / 8 * (self.chord / abs(self.rise)) + abs(self.rise) / 2

    @property
    def length(self) -> float:
        """Return the way along the curve in mm."""
        if abs(self.slope) < FLAT:
            return self.chord * (1 + 8 / 3 * self.slope**2)
        return self.radius * abs(self.angle)

    @property
    def segment(self) -> float:
        """Return the area between curve and chord in mm², with the sign of the rise."""
        if abs(self.slope) < FLAT:
            return 2 / 3 * self.chord * self.rise
        return self.radius * self.radius / 2 * (self.angle - math.sin(self.angle))

    def at(self, part: float) -> tuple[float, float, float]:
        """Return a point by its part of the way, 0 to 1, and the heading there.

        The chord runs from 0, 0 along x; left is positive y; the heading is in radians from x.
        """
        if abs(self.slope) < FLAT:
            bow = 4 * self.rise * part * (1 - part)
            return self.chord * part, bow, math.atan(4 * self.slope * (1 - 2 * part))
        # Going on a circle, the heading turns evenly from +angle/2 to -angle/2.
        start, here = self.angle / 2, self.angle * (0.5 - part)
        radius = math.copysign(self.radius, self.rise)
        across = radius * (math.sin(start) - math.sin(here))
        along_y = radius * (math.cos(here) - math.cos(start))
        return across, along_y, here


@dataclass(frozen=True, slots=True)
class Side:
    """One leg as it lies in the closed walk, in mm; straight, or curved by its rise."""

    start: Point
    end: Point
    rise: float = 0.0

    @property
    def arc(self) -> Arc:
        return Arc(math.dist(self.start, self.end), self.rise)

    @property
    def length_mm(self) -> float:
        """Return the way along the side, curve and all, after adjustment."""
        return self.arc.length

    def at(self, part: float) -> tuple[Point, float]:
        """Return the point at a part of the way, 0 to 1, and the heading there in degrees.

        Headings count to the left from east.
        """
        (x0, y0), (x1, y1) = self.start, self.end
        along, left, turned = self.arc.at(part)
        heading = math.atan2(y1 - y0, x1 - x0)
        cos, sin = math.cos(heading), math.sin(heading)
        point = (x0 + along * cos - left * sin, y0 + along * sin + left * cos)
        return point, math.degrees(heading + turned)

    def points(self, step_deg: float = 5.0) -> list[Point]:
        """Return the side as straight pieces, without its end: one for each step of a curve."""
        pieces = max(1, math.ceil(abs(math.degrees(self.arc.angle)) / step_deg))
        return [self.start, *(self.at(piece / pieces)[0] for piece in range(1, pieces))]
