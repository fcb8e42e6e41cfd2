"""What a drawing is made of: lines, circles and text in millimetres of the real place, y upwards,
each in a named style that SVG and DXF write in their own way."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Line:
    points: tuple[Point, ...]
    style: str
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Circle:
    centre: Point
    radius: float
    style: str


@dataclass(frozen=True, slots=True)
class Text:
    """`at` is the middle of the baseline's left, middle or right end, as anchor says."""

    at: Point
    text: str
    height: float
    anchor: str = "middle"
    style: str = "text"


Shape = Line | Circle | Text


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle."""

    left: float
    low: float
    right: float
    high: float

    @classmethod
    def round(cls, points: Iterable[Point]) -> "Box":
        xs, ys = zip(*points, strict=True)
        return cls(min(xs), min(ys), max(xs), max(ys))

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.high - self.low

    def grown(self, by: float) -> "Box":
        return Box(self.left - by, self.low - by, self.right + by, self.high + by)

    def meets(self, other: "Box") -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.low < other.high
            and other.low < self.high
        )

    def cut_by(self, a: Point, b: Point) -> bool:
        """Whether the straight line from a to b runs through the box (Liang and Barsky 1984)."""
        (x, y), (dx, dy) = a, (b[0] - a[0], b[1] - a[1])
        enters, leaves = 0.0, 1.0
        for step, gap in (
            (-dx, x - self.left),
            (dx, self.right - x),
            (-dy, y - self.low),
            (dy, self.high - y),
        ):
            if step == 0:
                if gap < 0:
                    return False
            elif step < 0:
                enters = max(enters, gap / step)
            else:
                leaves = min(leaves, gap / step)
        return enters <= leaves


def moved(point: Point, heading_deg: float, by: float) -> Point:
    """The point moved by so much in that direction (degrees left of east)."""
    angle = math.radians(heading_deg)
    return (point[0] + by * math.cos(angle), point[1] + by * math.sin(angle))


def rectangle(centre: Point, heading_deg: float, along: float, across: float) -> tuple[Point, ...]:
    """The corners of a rectangle whose long axis lies along the heading."""
    ends = (moved(centre, heading_deg, -along / 2), moved(centre, heading_deg, along / 2))
    sides = (-across / 2, across / 2)
    corners = [moved(end, heading_deg + 90, side) for end in ends for side in sides]
    return (corners[0], corners[1], corners[3], corners[2])


def scallops(centre: Point, radius: float, bump: float) -> tuple[Point, ...]:
    """A closed scalloped circle: outward bumps about `bump` wide round the radius."""
    count = max(8, round(2 * math.pi * radius / bump))
    points = []
    for i in range(count * 6):
        turn = 2 * math.pi * i / (count * 6)
        swell = abs(math.sin(turn * count / 2)) * bump * 0.35
        r = max(radius - bump * 0.35, radius * 0.6) + swell
        points.append((centre[0] + r * math.cos(turn), centre[1] + r * math.sin(turn)))
    return tuple(points)


def offset(points: Sequence[Point], by: float) -> tuple[Point, ...]:
    """An open line moved to its right by so much, each point along the mean of its normals."""
    headings = [math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) for a, b in pairwise(points)]
    out = []
    for i, point in enumerate(points):
        before, after = headings[max(i - 1, 0)], headings[min(i, len(headings) - 1)]
        middle = before + ((after - before + 180) % 360 - 180) / 2
        out.append(moved(point, middle - 90, by))
    return tuple(out)
