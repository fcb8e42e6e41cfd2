"""The drawing as SVG 1.1: one text for screen, phone and paper.

Colours stand as attributes, since paper has no style sheet of ours; on the screen the same classes
let the style sheet turn them for a dark scheme. Every style also differs by width or dashes, so
that a black and white print reads the same.
"""

import math
from typing import Literal
from xml.sax.saxutils import escape, quoteattr

from customers.plan.drawing.scene import Drawing
from customers.plan.drawing.shapes import Circle, Line, Point, Shape, Text, scallops
from customers.plan.drawing.site import Place
from customers.plan.drawing.symbols import mark
from shared.length import Length, length_text
from shared.wording import Translate, gettext_noop

INK, SOFT, GLAZE, RUST, SAGE, PAPER = (
    "#1d2729",
    "#4b585a",
    "#0b5f66",
    "#9a3f12",
    "#3f6234",
    "#fbf9f5",
)
# Stroke colour, stroke width in units, dashes in units, fill.
STYLES: dict[str, tuple[str, float, str, str]] = {
    "wall": (INK, 3, "", "none"),
    "strip": (GLAZE, 1.4, "", "none"),
    "strip-open": (RUST, 1.4, "7 5", "none"),
    "aluminium": (GLAZE, 1.2, "", "none"),
    "aluminium-open": (RUST, 1.2, "7 5", "none"),
    "opening": (PAPER, 6, "", "none"),
    "sill": (INK, 0.8, "", "none"),
    "body": (INK, 1.2, "", "none"),
    "fence": (INK, 1.2, "9 3", "none"),
    "hidden": (SOFT, 1, "3 3", "none"),
    "plant": (SAGE, 1.6, "", "none"),
    "plant-due": (SAGE, 1, "4 4", "none"),
    "detail": (GLAZE, 2, "", "none"),
    "detail-open": (RUST, 2, "3 2", "none"),
    "dot": ("none", 0, "", GLAZE),
    "way-in": (RUST, 2.4, "8 5", "none"),
    "way-in-tip": (RUST, 2.4, "", "none"),
    "leader": (SOFT, 0.7, "", "none"),
    "frame": (INK, 1, "", "none"),
}
LEGEND = (
    ("strip", gettext_noop("glass strip")),
    ("aluminium", gettext_noop("aluminium strip, indoors")),
    ("strip-open", gettext_noop("strip damaged or not known")),
    ("plant", gettext_noop("plant today")),
    ("plant-due", gettext_noop("plant on the due day")),
    ("way-in", gettext_noop("way in")),
)
DETAIL_LEGEND = (
    ("collar", gettext_noop("collar")),
    ("column-head band", gettext_noop("column-head band")),
    ("over-wall return", gettext_noop("over-wall return, fence split")),
    ("sill riser", gettext_noop("sill riser")),
    ("cap", gettext_noop("cap")),
)
MARGIN = 12.0
ROW = 20.0
LETTER = 15.0
BAR_SAID = 74.0  # for the scale bar's own words behind it

Foot = Literal["all", "legend", "none"]


def as_svg(
    drawing: Drawing,
    *,
    label: str,
    description: str = "",
    foot: Foot = "all",
    least_width: float = 620.0,
    translate: Translate = str,
) -> str:
    """Return the SVG. `label` is its short name; `description` says the plan in words.

    Below the scale bar follow title, legend and key; with the foot "legend" that alone, beside the
    bar; with "none" nothing.
    """
    sheet = _Sheet(drawing, foot=foot, least_width=least_width, translate=translate)
    head = (
        f'xmlns="http://www.w3.org/2000/svg" class="plan" role="img" aria-label={quoteattr(label)} '
        f'viewBox="0 0 {sheet.width:g} {sheet.height:g}" font-family="Source Sans 3, sans-serif"'
    )
    words = f"<title>{escape(label)}</title><desc>{escape(description)}</desc>"
    return f"<svg {head}>{words}{''.join(sheet.parts())}</svg>"


class _Sheet:
    """From millimetres to the sheet's units, y downwards; the foot below the picture."""

    def __init__(
        self, drawing: Drawing, *, foot: Foot, least_width: float, translate: Translate
    ) -> None:
        self.drawing = drawing
        self.translate = translate
        self.kind_of_foot = foot
        box = drawing.box
        self.width = max(round(box.width / drawing.unit, 1), least_width)
        self.picture = round(box.height / drawing.unit, 1)
        self.left = (self.width - box.width / drawing.unit) / 2
        rows = math.ceil(len(drawing.key) / 2)
        legend_rows = math.ceil(len(self._legend_lines()) / 2)
        self.foot = self.picture + 64
        self.key_at = self.foot + legend_rows * ROW + 10
        low = {
            "all": self.key_at + rows * ROW,
            "legend": self.picture + ROW * max(1, len(self._rows_beside_bar())),
            "none": self.picture + ROW,
        }[foot]
        self.height = round(low + MARGIN, 1)

    def to_sheet(self, point: Point) -> Point:
        box, unit = self.drawing.box, self.drawing.unit
        x, y = (point[0] - box.left) / unit + self.left, (box.high - point[1]) / unit
        return (round(x, 1), round(y, 1))

    def parts(self) -> list[str]:
        return [
            *(self._shape(shape) for shape in self.drawing.shapes),
            *self._north(),
            *self._scale_bar(),
            *self._foot(),
        ]

    def _foot(self) -> list[str]:
        if self.kind_of_foot == "none":
            return []
        if self.kind_of_foot == "legend":
            return self._legend_beside_bar()
        return [*self._title(), *self._legend(), *self._key()]

    def _shape(self, shape: Shape) -> str:
        if isinstance(shape, Line):
            return polyline([self.to_sheet(point) for point in shape.points], shape)
        if isinstance(shape, Circle):
            x, y = self.to_sheet(shape.centre)
            r = round(shape.radius / self.drawing.unit, 1)
            return f'<circle cx="{x}" cy="{y}" r="{r}"{attributes(shape.style)}/>'
        return self._text(shape)

    def _text(self, shape: Text) -> str:
        x, y = self.to_sheet(shape.at)
        weight = ' font-weight="600"' if shape.style == "tag" else ""
        size = shape.height / self.drawing.unit
        return letters(shape.text, x, y, size, shape.anchor, weight)

    def _north(self) -> list[str]:
        """An arrow in the picture's upper right corner, turned to where north lies."""
        x, y = self.width - 30, 34.0
        turn = round(90 - self.drawing.north_deg, 1)
        arrow = f'<path d="M0 18V-16M-5 -8L0 -18L5 -8"{attributes("frame")}/>'
        return [
            f'<g transform="translate({x:g} {y:g}) rotate({turn:g})">{arrow}</g>',
            letters("N", x, y + 36, LETTER, "middle"),
        ]

    def _bar(self) -> tuple[float, float]:
        """A round length of about a fifth of the sheet, in mm there and in units here."""
        most = self.drawing.unit * self.width / (6 if self.kind_of_foot == "legend" else 4)
        steps = (
            [304.8 * n for n in (1, 2, 5, 10, 20, 50, 100, 200)]
            if self.drawing.system == "imperial"
            else [1000.0 * n for n in (0.5, 1, 2, 5, 10, 20, 50)]
        )
        mm = max((step for step in steps if step <= most), default=steps[0])
        return mm, round(mm / self.drawing.unit, 1)

    def _scale_bar(self) -> list[str]:
        mm, width = self._bar()
        y = self.picture + 16
        said = length_text(Length.of(round(mm), "mm"), self.drawing.system)
        if self.drawing.system == "imperial":
            said = f"{round(mm / 304.8)} ft"
        end = MARGIN + width
        d = f"M{MARGIN} {y - 5}V{y + 5}M{MARGIN} {y}H{end:g}M{end:g} {y - 5}V{y + 5}"
        return [f'<path d="{d}"{attributes("frame")}/>', letters(said, MARGIN + width + 8, y + 5)]

    def _title(self) -> list[str]:
        title = self.drawing.title
        said = " · ".join(part for part in (title.home, title.stage, title.on) if part)
        y = self.picture + 46
        line = f'<path d="M{MARGIN} {y - 20}H{self.width - MARGIN}"{attributes("frame")}/>'
        return (
            [line, letters(said, MARGIN, y, 15, "start", ' font-weight="600"')] if said else [line]
        )

    def _legend_lines(self) -> list[tuple[str, str]]:
        """The styles and details that the drawing uses, each with its word."""
        lines = [each for each in LEGEND if each[0] in self.drawing.used]
        fitted = " ".join(each for line in self.drawing.key for each in line.ours)
        return lines + [
            each
            for each in DETAIL_LEGEND
            if each[0] in fitted or (each[0] == "over-wall return" and "fence split" in fitted)
        ]

    def _legend(self) -> list[str]:
        parts = []
        for i, (style, said) in enumerate(self._legend_lines()):
            x, y = self._cell(i, self.foot)
            parts += [*_sample(style, x, y - 5), letters(self.translate(said), x + 40, y)]
        return parts

    def _rows_beside_bar(self) -> list[list[tuple[str, str, float]]]:
        """Style, word and left end of each mark, in as many rows as they need."""
        left = MARGIN + self._bar()[1] + BAR_SAID
        rows: list[list[tuple[str, str, float]]] = []
        x = self.width
        for style, said in self._legend_lines():
            word = self.translate(said)
            wide = 40 + len(word) * LETTER * 0.5 + 16
            if x + wide > self.width:
                x = left
                rows.append([])
            rows[-1].append((style, word, x))
            x += wide
        return rows

    def _legend_beside_bar(self) -> list[str]:
        parts = []
        for i, row in enumerate(self._rows_beside_bar()):
            y = self.picture + 21 + i * ROW
            for style, word, x in row:
                parts += [*_sample(style, x, y - 5), letters(word, x + 40, y)]
        return parts

    def _key(self) -> list[str]:
        parts = []
        for i, line in enumerate(self.drawing.key):
            x, y = self._cell(i, self.key_at)
            parts.append(letters(line.number, x + 16, y, LETTER, "end", ' font-weight="600"'))
            told = line.said(self.translate)
            parts.append(letters(_cut(told, self.width), x + 24, y))
        return parts

    def _cell(self, index: int, top: float) -> Point:
        column = (self.width - 2 * MARGIN) / 2
        return (MARGIN + column * (index % 2), round(top + ROW * (index // 2 + 1), 1))


def _cut(said: str, width: float) -> str:
    most = int((width / 2 - 40) / (LETTER * 0.5))
    return said if len(said) <= most else f"{said[: most - 1]}…"


def _sample(style: str, x: float, y: float) -> list[str]:
    """The mark of the legend, 30 units wide."""
    if style in ("strip", "strip-open"):
        return [_dash(style, x, y - 2), _dash(style, x, y + 2)]
    if style in ("plant", "plant-due"):
        radius = 7.0
        if style == "plant-due":
            return [f'<circle cx="{x + 15}" cy="{y}" r="{radius}"{attributes(style)}/>']
        ring = Line(scallops((x + 15, y), radius, 4), style, closed=True)
        return [polyline([(round(a, 1), round(b, 1)) for a, b in ring.points], ring)]
    if style in STYLES:
        return [_dash(style, x, y)]
    place = Place((x + 15, y), 0.0, -90.0)
    return [_flat(shape) for shape in mark(style, (x + 15, y), place, 1.0, "detail")]


def _dash(style: str, x: float, y: float) -> str:
    return f'<path d="M{x:g} {y:g}H{x + 30:g}"{attributes(style)}/>'


def _flat(shape: Line | Circle) -> str:
    """A shape that is in the sheet's units already."""
    if isinstance(shape, Circle):
        x, y = shape.centre
        return f'<circle cx="{x:g}" cy="{y:g}" r="{shape.radius:g}"{attributes(shape.style)}/>'
    return polyline([(round(x, 1), round(y, 1)) for x, y in shape.points], shape)


def polyline(points: list[Point], line: Line) -> str:
    d = "L".join(f"{x:g} {y:g}" for x, y in points)
    return f'<path d="M{d}{"Z" if line.closed else ""}"{attributes(line.style)}/>'


def attributes(style: str) -> str:
    stroke, width, dashes, fill = STYLES[style]
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f' class="plan-{style}" fill="{fill}" stroke="{stroke}" stroke-width="{width:g}"{dashed}'


def letters(
    text: str, x: float, y: float, size: float = LETTER, anchor: str = "start", more: str = ""
) -> str:
    return (
        f'<text class="plan-text" x="{x:g}" y="{y:g}" font-size="{size:g}" fill="{INK}"'
        f' text-anchor="{anchor}"{more}>{escape(text)}</text>'
    )
