"""Features on the sheet: each kind's body to scale, its details by their marks, its number."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from customers.plan.document import Feature, in_words
from customers.plan.drawing.shapes import Circle, Line, Point, Shape, moved, rectangle, scallops
from customers.plan.drawing.site import Place, Site
from customers.plan.drawing.words import in_language
from customers.plan.features import KINDS
from shared.wording import Translate

# How far a body reaches from the wall where the plan does not say, in millimetres.
REACH_MM = {
    "fence": 2_500.0,
    "gate": 2_000.0,
    "garden wall": 2_500.0,
    "wire": 2_500.0,
    "planter": 500.0,
    "step": 400.0,
    "chimney": 500.0,
    "outdoor kitchen": 700.0,
    "column": 1_500.0,
}
WIDTH_MM = {"door": 914.0, "sliding door": 1_830.0, "garage door": 4_877.0, "column": 300.0}
MOST_REACH_MM = 6_000.0
DOORS = ("door", "sliding door", "garage door")
RUNS = ("fence", "gate", "garden wall")
BLOCKS = ("planter", "step", "chimney", "outdoor kitchen")
SMALLEST_PLANT_MM = 300.0


@dataclass(frozen=True)
class PlantSize:
    """How far a plant stands off its wall today and on the day it is due, in millimetres."""

    clearance_mm: float
    due_clearance_mm: float = 0.0


class KeyLine(NamedTuple):
    """What a number means: the name that people gave, "" for none, and our own words."""

    number: str
    name: str
    ours: tuple[str, ...]

    def said(self, translate: Translate = str) -> str:
        """Return it in the reader's language; the name stays as it was given."""
        ours = [in_language(each, translate) for each in self.ours]
        return ", ".join([self.name, *ours] if self.name else ours)


class Symbols:
    """Draws the features and keeps, by number, where each stands and what the key says of it."""

    def __init__(self, site: Site, unit: float, plants: Mapping[str, PlantSize]) -> None:
        self.site = site
        self.unit = unit
        self.plants = plants
        self.anchors: dict[str, tuple[Place, float]] = {}
        self.key: list[KeyLine] = []
        self.numbers: dict[str, str] = {}

    def features(self) -> list[Shape]:
        shapes: list[Shape] = []
        for feature in self.site.plan.features:
            place = self.site.of(feature)
            if place is None:
                continue
            number = str(len(self.key) + 1)
            body, reach = self.body(feature, place)
            shapes += body
            shapes += self._details(feature, place, reach)
            self.anchors[number] = (place, reach)
            self.numbers[feature.id] = number
            self.key.append(self._said(number, feature))
        return shapes

    def _said(self, number: str, feature: Feature) -> KeyLine:
        fitted = sorted({each.detail for each in feature.details.values()})
        name = feature.name.strip()
        name = "" if name == feature.kind else name  # Nobody named it.
        kind = () if feature.kind in name else (feature.kind,)
        return KeyLine(number, name, (*kind, in_words(feature.leg), *fitted))

    def body(self, feature: Feature, place: Place) -> tuple[list[Shape], float]:
        """The feature itself without its details, and how far it reaches from the wall."""
        return self._drawer(feature)(feature, place)

    def _drawer(self, feature: Feature) -> Callable[[Feature, Place], tuple[list[Shape], float]]:
        kind = KINDS.get(feature.kind)
        if kind and kind.is_plant:
            return self._plant
        for kinds, body in (
            (DOORS, self._door),
            (RUNS, self._run),
            (BLOCKS, self._block),
            (("column",), self._column),
            (("wire",), self._wire),
        ):
            if feature.kind in kinds:
                return body
        return self._pipe

    def _reach(self, feature: Feature) -> float:
        given = float(feature.out_mm) or REACH_MM.get(feature.kind, 0.0)
        return min(given, MOST_REACH_MM)

    def _width(self, feature: Feature, least: float = 0.0) -> float:
        return max(float(feature.width_mm) or WIDTH_MM.get(feature.kind, 0.0), least)

    def _plant(self, feature: Feature, place: Place) -> tuple[list[Shape], float]:
        size = self.plants.get(feature.id)
        surveyed = float(feature.clearance_mm or 0)
        clearance = size.clearance_mm if size else surveyed
        due = size.due_clearance_mm if size else 0.0
        radius = self._width(feature, SMALLEST_PLANT_MM) / 2
        centre = place.out(radius + clearance)
        shapes: list[Shape] = [Line(scallops(centre, radius, 10 * self.unit), "plant", closed=True)]
        grown = max(clearance - due, 0.0)
        if grown:
            shapes.append(Circle(centre, radius + grown, "plant-due"))
        return shapes, clearance + 2 * radius + grown

    def _door(self, feature: Feature, place: Place) -> tuple[list[Shape], float]:
        width, deep = self._width(feature, 700.0), 4 * self.unit
        ends = [moved(place.at, place.along_deg, side * width / 2) for side in (-1, 1)]
        jambs = [
            Line((moved(end, place.out_deg, -deep), moved(end, place.out_deg, deep)), "body")
            for end in ends
        ]
        return [Line(tuple(ends), "opening"), *jambs, Line(tuple(ends), "sill")], deep

    def _run(self, feature: Feature, place: Place) -> tuple[list[Shape], float]:
        reach, half = self._reach(feature), max(self._width(feature) / 2, 2 * self.unit)
        lines = [
            Line(
                tuple(moved(p, place.along_deg, side * half) for p in (place.at, place.out(reach))),
                "fence" if feature.kind != "garden wall" else "body",
            )
            for side in (-1, 1)
        ]
        return [*lines], reach

    def _block(self, feature: Feature, place: Place) -> tuple[list[Shape], float]:
        reach, width = self._reach(feature), self._width(feature, 600.0)
        corners = rectangle(place.out(reach / 2), place.along_deg, width, reach)
        return [Line(corners, "body", closed=True)], reach

    def _column(self, feature: Feature, place: Place) -> tuple[list[Shape], float]:
        reach, width = self._reach(feature), self._width(feature)
        post = rectangle(place.out(reach), place.along_deg, width, width)
        beam = Line((place.at, place.out(reach - width / 2)), "hidden")
        return [Line(post, "body", closed=True), beam], reach + width / 2

    def _wire(self, feature: Feature, place: Place) -> tuple[list[Shape], float]:
        reach = self._reach(feature)
        return [Line((place.at, place.out(reach)), "hidden")], 8 * self.unit

    def _pipe(self, feature: Feature, place: Place) -> tuple[list[Shape], float]:
        radius = max(self._width(feature) / 2, 3 * self.unit)
        centre = place.out(max(float(feature.out_mm), radius))
        return [Circle(centre, radius, "body")], radius * 2

    def _details(self, feature: Feature, place: Place, reach: float) -> list[Shape]:
        shapes: list[Shape] = []
        for key, fitted in feature.details.items():
            at = place.out(reach) if key == "foot" else place.out(6 * self.unit)
            style = "detail" if fitted.state == "sound" else "detail-open"
            shapes += mark(fitted.detail, at, place, self.unit, style)
        return shapes


def mark(detail: str, at: Point, place: Place, unit: float, style: str) -> list[Line | Circle]:
    """The mark of a detail at a point; strips and cutting back have none of their own."""
    draw = MARKS.get(detail)
    return draw(at, place, unit, style) if draw else []


def _ring(at: Point, _place: Place, unit: float, style: str) -> list[Line | Circle]:
    return [Circle(at, 6 * unit, style), Circle(at, 1.2 * unit, "dot")]


def _band(at: Point, place: Place, unit: float, style: str) -> list[Line | Circle]:
    square = rectangle(at, place.along_deg, 12 * unit, 12 * unit)
    bar = tuple(moved(at, place.along_deg, side * 9 * unit) for side in (-1, 1))
    return [Line(square, style, closed=True), Line(bar, style)]


def _bracket(at: Point, place: Place, unit: float, style: str) -> list[Line | Circle]:
    near, far = -5 * unit, 9 * unit
    left, right = (moved(at, place.along_deg, side * 9 * unit) for side in (-1, 1))
    points = (
        moved(left, place.out_deg, near),
        moved(left, place.out_deg, far),
        moved(right, place.out_deg, far),
        moved(right, place.out_deg, near),
    )
    return [Line(points, style)]


def _step(at: Point, place: Place, unit: float, style: str) -> list[Line | Circle]:
    steps = ((-10, 0), (-3, 0), (-3, 4), (3, 4), (3, 8), (10, 8))
    points = tuple(
        moved(moved(at, place.along_deg, along * unit), place.out_deg, out * unit)
        for along, out in steps
    )
    return [Line(points, style)]


def _cap(at: Point, place: Place, unit: float, style: str) -> list[Line | Circle]:
    bar = tuple(moved(at, place.along_deg, side * 6 * unit) for side in (-1, 1))
    stem = (at, moved(at, place.out_deg, -6 * unit))
    return [Line(bar, style), Line(stem, style)]


MARKS: Mapping[str, Callable[[Point, Place, float, str], list[Line | Circle]]] = {
    "collar": _ring,
    "backed collar": _ring,
    "column-head band": _band,
    "over-wall return": _bracket,
    "fence split": _bracket,
    "sill riser": _step,
    "cap": _cap,
}
