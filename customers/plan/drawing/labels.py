"""Letters that do not collide: each tries places ever farther out and takes the first free one."""

from collections.abc import Iterable, Sequence

from customers.plan.drawing.shapes import Box, Circle, Line, Point, Shape, Text, moved
from customers.plan.drawing.site import Place

TRIES = 14
SIDEWAYS = (0.0, 1.5, -1.5, 3.0, -3.0)  # steps along the wall; straight out needs no leader
NEAR = 10  # spots so near that they need no leader


class Labels:
    """Texts placed so far, and what they must keep off."""

    def __init__(self, unit: float, letter: float, drawn: Iterable[Shape]) -> None:
        self.unit = unit
        self.height = letter * unit
        self.shapes: list[Shape] = []
        self._lines: list[tuple[Point, Point]] = []
        self._boxes: list[Box] = []
        self._outlines: list[Sequence[Point]] = []
        for shape in drawn:
            self._keep_off(shape)

    def _keep_off(self, shape: Shape) -> None:
        if isinstance(shape, Line):
            if shape.style == "wall":
                self._outlines.append(shape.points)
            ends = (*shape.points[1:], *shape.points[:1]) if shape.closed else shape.points[1:]
            self._lines += list(zip(shape.points, ends, strict=False))
        elif isinstance(shape, Circle):
            x, y = shape.centre
            self._boxes.append(Box(x, y, x, y).grown(shape.radius))

    def _free(self, box: Box) -> bool:
        middle = ((box.left + box.right) / 2, (box.low + box.high) / 2)
        return not (
            any(box.meets(other) for other in self._boxes)
            or any(box.cut_by(a, b) for a, b in self._lines)
            or any(inside(middle, outline) for outline in self._outlines)
        )

    def _box(self, at: Point, text: str) -> Box:
        half = len(text) * self.height * 0.3
        low, high = at[1] - self.height * 0.3, at[1] + self.height * 0.9
        return Box(at[0] - half, low, at[0] + half, high)

    def dimension(self, middle: Place, text: str) -> None:
        """A leg's number and length, outside its middle."""
        first = 14 * self.unit + len(text) * self.height * 0.3 * abs(_cosine(middle.out_deg))
        self._place(middle, text, first, self.height, "dimension")

    def tag(self, place: Place, reach: float, text: str) -> None:
        """A feature's number beside it, `reach` millimetres out from the wall."""
        self._place(place, text, reach + 12 * self.unit, self.height * 0.7, "tag")

    def _place(self, place: Place, text: str, first: float, step: float, style: str) -> None:
        base = -self.height * 0.35
        spots = [
            moved(place.out(first + step * out), place.along_deg, side * step)
            for out in range(TRIES)
            for side in SIDEWAYS
        ]
        spots = [(x, y + base) for x, y in spots]
        at = next((spot for spot in spots if self._free(self._box(spot, text))), spots[0])
        self._boxes.append(self._box(at, text))
        if (index := spots.index(at)) >= NEAR and index % len(SIDEWAYS):
            self.shapes.append(
                Line((place.out(9 * self.unit), self._edge(at, text, place.at)), "leader")
            )
        self.shapes.append(Text(at, text, self.height, style=style))

    def _edge(self, at: Point, text: str, seen_from: Point) -> Point:
        """The point of the text's box nearest to where its leader comes from."""
        box = self._box(at, text)
        x, y = seen_from
        return (min(max(x, box.left), box.right), min(max(y, box.low), box.high))


def inside(point: Point, outline: Sequence[Point]) -> bool:
    """Whether the point lies within the closed outline (even-odd rule)."""
    x, y = point
    crossed = False
    for (ax, ay), (bx, by) in zip(outline, (*outline[1:], *outline[:1]), strict=True):
        if (ay > y) != (by > y) and x < (bx - ax) * (y - ay) / (by - ay) + ax:
            crossed = not crossed
    return crossed


def _cosine(degrees: float) -> float:
    return moved((0.0, 0.0), degrees, 1.0)[0]
