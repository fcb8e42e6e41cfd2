"""The drawing: walls, strips, details by their symbols, plants today and on the due day, ways in.

Sizes on paper (letters, symbols, gaps) are multiples of one unit, 1/900 of the sheet's width, so
that the same drawing reads on a phone, a desk and a printed page. Marks are those of the design:
strip two lines, indoor aluminium one with ticks, collar a ring with a dot, column-head band a
square with a bar, over-wall return a bracket, sill riser a step, a plant a scalloped circle with
a dashed one at its size on the due day, a way in a dashed arrow.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from customers.plan.document import PlanDocument
from customers.plan.drawing.labels import Labels
from customers.plan.drawing.shapes import Box, Circle, Line, Shape, Text, offset
from customers.plan.drawing.site import Side, Site
from customers.plan.drawing.symbols import KeyLine, PlantSize, Symbols
from customers.plan.drawing.ways import arrows
from customers.plan.ring import RingCheck
from shared.length import Length, System, length_text

SHEET_UNITS = 900.0
LEAST_WIDTH_MM = 4_000.0
ROOM = 90.0  # units round the building, for dimensions and what stands off the walls
LETTER = 15.0
BETWEEN = 200.0  # units between two buildings: each writes a length there
FITTINGS = 9
CLOSE, MIDDLING = 0.97, 0.985  # of the frame: near enough, and aimed at


@dataclass(frozen=True)
class TitleBlock:
    """What stands under the drawing: the home, which plan it is, and the day it shows."""

    home: str = ""
    stage: str = ""
    on: str = ""


@dataclass(frozen=True)
class Drawing:
    """Shapes in millimetres; `unit` is how many of them one unit of the sheet is.

    `key` says what each number means, `numbers` holds the number of each feature by its id.
    """

    shapes: tuple[Shape, ...]
    box: Box
    unit: float
    key: tuple[KeyLine, ...]
    title: TitleBlock
    system: System
    north_deg: float
    used: frozenset[str] = field(default_factory=frozenset)
    numbers: Mapping[str, str] = field(default_factory=dict)


def draw(
    plan: PlanDocument,
    *,
    check: RingCheck | None = None,
    plants: Mapping[str, PlantSize] | None = None,
    title: TitleBlock | None = None,
    system: System | None = None,
    unit: float | None = None,
) -> Drawing | None:
    """Return the drawing; None where the plan has no leg that can be drawn.

    `check` adds the ways in; `plants` the sizes by feature id, else the plan's own clearances.
    `unit`: see Drawing; the larger it is, the smaller is the house beside its letters.
    """
    site = Site(plan, least_apart_mm=(unit or 0) * BETWEEN)
    if not site.walks:
        return None
    chosen: System = system or ("metric" if plan.unit_hint == "m" else "imperial")
    symbols = Symbols(site, unit or _unit(site), plants or {})
    walls = [
        Line(site.outline(i), "wall", closed=not site.is_under_way(i))
        for i in range(len(site.walks))
    ]
    strips = [line for side in site.sides for line in _strips(side, symbols.unit)]
    features = symbols.features()
    ways = arrows(site, check, symbols.unit) if check else []
    labels = Labels(symbols.unit, LETTER, [*walls, *strips, *features, *ways])
    for number, (place, reach) in symbols.anchors.items():
        labels.tag(place, reach, number)
    for side in site.sides:
        labels.dimension(side.middle, f"{_number(side)} · {_length(side, chosen)}")
    shapes = (*walls, *strips, *features, *ways, *labels.shapes)
    return Drawing(
        shapes=shapes,
        box=_box(site, shapes, symbols.unit),
        unit=symbols.unit,
        key=tuple(symbols.key),
        title=title or TitleBlock(),
        system=chosen,
        north_deg=float(plan.north_deg),
        used=frozenset(each.style for each in shapes),
        numbers=symbols.numbers,
    )


def draw_within(plan: PlanDocument, width: float, height: float, **options: Any) -> Drawing | None:
    """Return the drawing as large as goes into so many units of its sheet: its letters keep theirs.

    What stands off the walls does not shrink with them, so the fit is found in a few steps.
    """
    drawing = draw(plan, **options)
    fitting: list[Drawing] = []
    for _ in range(FITTINGS):
        if drawing is None:
            return None
        box, unit = drawing.box, drawing.unit
        over = max(box.width / unit / width, box.height / unit / height)
        if over <= 1:
            fitting.append(drawing)
        if CLOSE <= over <= 1:
            break
        drawing = draw(plan, unit=unit * over / MIDDLING, **options)
    return min(fitting, key=lambda each: each.unit, default=drawing)


def _unit(site: Site) -> float:
    width = max(site.box.width, site.box.height * 1.2, LEAST_WIDTH_MM)
    return width / (SHEET_UNITS - 2 * ROOM)


def _box(site: Site, shapes: tuple[Shape, ...], unit: float) -> Box:
    """All that is drawn, with air round it."""
    boxes = [site.box, *(box_of(shape) for shape in shapes)]
    return Box(
        min(each.left for each in boxes),
        min(each.low for each in boxes),
        max(each.right for each in boxes),
        max(each.high for each in boxes),
    ).grown(12 * unit)


def box_of(shape: Shape) -> Box:
    if isinstance(shape, Line):
        return Box.round(shape.points)
    if isinstance(shape, Circle):
        x, y = shape.centre
        return Box(x, y, x, y).grown(shape.radius)
    return text_box(shape)


def text_box(text: Text) -> Box:
    """Where a text lies, its letters taken as six tenths of their height wide on the mean."""
    width = len(text.text) * text.height * 0.6
    x, y = text.at
    left = {"start": x, "middle": x - width / 2, "end": x - width}[text.anchor]
    return Box(left, y - text.height * 0.3, left + width, y + text.height * 0.9)


def _number(side: Side) -> str:
    return side.leg.id.removeprefix("leg-")


def _length(side: Side, system: System) -> str:
    return length_text(Length.of(side.leg.length_mm, "mm"), system)


def _strips(side: Side, unit: float) -> list[Shape]:
    """The strip along a leg; where its state is not sound it is broken."""
    leg = side.leg
    if not leg.strip:
        return []
    sound = leg.strip_state == "sound"
    way = -side.out_sign  # offset() goes to the right of the way walked
    if leg.strip == "glass":
        style = "strip" if sound else "strip-open"
        return [Line(offset(side.points, way * by * unit), style) for by in (4, 7)]
    line = offset(side.points, -way * 5 * unit)
    style = "aluminium" if sound else "aluminium-open"
    return [Line(line, style), *_ticks(line, unit)]


def _ticks(line: tuple[tuple[float, float], ...], unit: float) -> list[Shape]:
    other = offset(line, 5 * unit)
    (ax, ay), (bx, by), (ox, oy) = line[0], line[-1], other[0]
    count = max(2, int(((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5 / (14 * unit)))
    return [
        Line(
            (
                (ax + (bx - ax) * i / count, ay + (by - ay) * i / count),
                (ox + (bx - ax) * i / count, oy + (by - ay) * i / count),
            ),
            "aluminium",
        )
        for i in range(1, count)
    ]
