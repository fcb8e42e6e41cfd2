"""Where everything of a plan lies on one sheet: walks placed, features at their legs.

Each walk starts at its own origin, so separate walks are set side by side with room for what is
written between them: the plan does not say where a detached garage stands.
"""

from dataclasses import dataclass
from functools import cached_property

from customers.plan.document import Feature, Leg, PlanDocument, Walk
from customers.plan.drawing.shapes import Box, Point, moved
from customers.plan.walk import ClosedWalk, close_walk

APART = 0.3  # of the width of all walks together


@dataclass(frozen=True)
class Place:
    """A point on a wall, and the directions along the leg and away from the building there."""

    at: Point
    along_deg: float
    out_deg: float

    def out(self, by: float) -> Point:
        return moved(self.at, self.out_deg, by)


@dataclass(frozen=True)
class Side:
    """A leg as it lies on the sheet."""

    leg: Leg
    points: tuple[Point, ...]
    out_sign: int
    middle: Place


class Site:
    """The walks of a plan on one sheet. Legs of walks that cannot be drawn are left out."""

    def __init__(self, plan: PlanDocument, *, least_apart_mm: float = 0.0) -> None:
        self.plan = plan
        self.walks: list[tuple[Walk, ClosedWalk, Point]] = []
        closed = [(walk, close_walk(walk.legs)) for walk in plan.walks]
        boxes = [
            (walk, each, Box.round(each.outline_mm))
            for walk, each in closed
            if any(each.lengths_mm)
        ]
        apart = max(APART * sum(box.width for *_, box in boxes), least_apart_mm)
        right = 0.0
        for walk, each, box in boxes:
            self.walks.append((walk, each, (right - box.left, -box.low)))
            right += box.width + apart

    @cached_property
    def _legs(self) -> dict[str, tuple[int, int]]:
        return {
            leg.id: (w, i)
            for w, (walk, _, _) in enumerate(self.walks)
            for i, leg in enumerate(walk.legs)
        }

    def outline(self, index: int) -> tuple[Point, ...]:
        _, closed, (dx, dy) = self.walks[index]
        return tuple((x + dx, y + dy) for x, y in closed.outline_mm)

    def is_under_way(self, index: int) -> bool:
        return self.walks[index][1].is_under_way

    def _out_sign(self, index: int) -> int:
        """-1 where away from the building is to the right of the way walked, +1 where left."""
        walk, closed, _ = self.walks[index]
        inside_is_left = not closed.clockwise
        building_is_left = inside_is_left != (walk.kind == "courtyard")
        return -1 if building_is_left else 1

    def on_leg(self, leg_id: str, at_mm: float) -> Place | None:
        """The place at a distance along a leg; None where the plan has no such leg."""
        if leg_id not in self._legs:
            return None
        return self._at(*self._legs[leg_id], at_mm)

    def _at(self, w: int, i: int, at_mm: float) -> Place:
        _, closed, (dx, dy) = self.walks[w]
        (x, y), heading = closed.at(i, at_mm)
        return Place((x + dx, y + dy), heading, heading + 90 * self._out_sign(w))

    def of(self, feature: Feature) -> Place | None:
        return self.on_leg(feature.leg, float(feature.at_mm))

    @cached_property
    def sides(self) -> list[Side]:
        sides = []
        for w, (walk, closed, (dx, dy)) in enumerate(self.walks):
            for i, leg in enumerate(walk.legs):
                if not closed.lengths_mm[i]:
                    continue
                points = (*closed.drawn_sides[i].points(), closed.drawn_sides[i].end)
                middle = self._at(w, i, closed.lengths_mm[i] / 2)
                placed = tuple((x + dx, y + dy) for x, y in points)
                sides.append(Side(leg, placed, self._out_sign(w), middle))
        return sides

    @cached_property
    def box(self) -> Box:
        """Round all walls; only of a site that has some."""
        return Box.round(point for i in range(len(self.walks)) for point in self.outline(i))
