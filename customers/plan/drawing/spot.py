"""One feature and where it stands, as a small PNG for a mail: the walls from above, the spot.

A mail shows no SVG and fetches nothing, so the picture travels with it. It has a paper ground of
its own, to be read in a dark scheme too; the spot differs by shape, not by colour alone.
"""

from functools import cache
from io import BytesIO
from pathlib import Path

from PIL import Image, ImageChops, ImageDraw, ImageFont

from customers.plan.document import Feature, PlanDocument
from customers.plan.drawing.shapes import Line, Point, moved
from customers.plan.drawing.site import Place, Site
from customers.plan.drawing.svg import INK, PAPER, RUST, SAGE, SOFT
from customers.plan.drawing.symbols import DOORS, RUNS, Symbols

WIDTH = 720  # pixels; shown at half of that, so that fine screens have their fill
TALLEST = 640
FINER = 2  # drawn so much larger and then made smaller: smooth lines
ROOM = 112.0  # pixels round the walls, for the spot and its arrow
FLOOR = "#ece7dd"
SMALLEST = 20.0
ARROW = 42.0
LETTER = 32
LEAST_LEG = 60.0  # pixels; a shorter leg has no room for its number
AIR = 24
COLOURS = 64
FONT = Path(__file__).parents[3] / "shared/static/shared/fonts/SourceSans3-SemiBold.ttf"


def spot(plan: PlanDocument, mark: str) -> bytes | None:
    """Return the PNG; None where the plan does not show that feature on a wall."""
    site = Site(plan)
    feature = next((each for each in plan.features if each.id == mark), None)
    place = site.of(feature) if feature else None
    if feature is None or place is None:
        return None
    sheet = Sheet(site)
    sheet.walls()
    sheet.what_helps_to_find_it()
    sheet.numbers(feature.leg)
    sheet.pick_out(feature, place)
    return sheet.png()


class Sheet:
    """Draws in millimetres of the place; keeps how they become pixels."""

    def __init__(self, site: Site) -> None:
        self.site = site
        box = site.box
        inner = WIDTH - 2 * ROOM
        self.scale = min(inner / box.width, (TALLEST - 2 * ROOM) / box.height)
        self.box = box
        self.height = round(box.height * self.scale + 2 * ROOM)
        self.left = (WIDTH - box.width * self.scale) / 2
        self.image = Image.new("RGB", (WIDTH * FINER, self.height * FINER), PAPER)
        self.pen = ImageDraw.Draw(self.image)

    def at(self, point: Point) -> Point:
        x = (point[0] - self.box.left) * self.scale + self.left
        y = (self.box.high - point[1]) * self.scale + ROOM
        return x * FINER, y * FINER

    def walls(self) -> None:
        for index, (walk, _, _) in enumerate(self.site.walks):
            points = [self.at(point) for point in self.site.outline(index)]
            self.pen.polygon(points, fill=PAPER if walk.kind == "courtyard" else FLOOR)
            self._line([*points, points[0]], INK, 5)

    def what_helps_to_find_it(self) -> None:
        """Doors, fences and gates, by which people know where they are."""
        symbols = Symbols(self.site, 1 / self.scale, {})
        for feature in self.site.plan.features:
            place = self.site.of(feature)
            if place is None or feature.kind not in (*DOORS, *RUNS):
                continue
            shapes, _ = symbols.body(feature, place)
            for shape in shapes:
                if isinstance(shape, Line):
                    ink, wide = (FLOOR, 9) if shape.style == "opening" else (SOFT, 3)
                    self._line([self.at(point) for point in shape.points], ink, wide)

    def numbers(self, here: str) -> None:
        """The numbers of the legs, inside their walls; that of the spot stands out."""
        for side in self.site.sides:
            if float(side.leg.length_mm) * self.scale < LEAST_LEG and side.leg.id != here:
                continue
            x, y = self.at(moved(side.middle.at, side.middle.out_deg, -LETTER / self.scale))
            ink = INK if side.leg.id == here else SOFT
            number = side.leg.id.removeprefix("leg-")
            self.pen.text((x, y), number, fill=ink, font=_font(), anchor="mm")

    def pick_out(self, feature: Feature, place: Place) -> None:
        """The feature as a full disc in a ring, and an arrow that leads to it."""
        radius = max(float(feature.width_mm) / 2 * self.scale, SMALLEST)
        off = float(feature.clearance_mm or 0) * self.scale
        centre = self.at(place.out((off + radius) / self.scale))
        r = radius * FINER
        ring = r + 10 * FINER
        self._disc(centre, r, fill=SAGE)
        self._disc(centre, ring, outline=RUST, width=5 * FINER)
        self._arrow(place, off + 2 * radius + 16)

    def _arrow(self, place: Place, near: float) -> None:
        tip, tail = (self.at(place.out(by / self.scale)) for by in (near, near + ARROW))
        self._line([tail, tip], RUST, 6)
        for turn in (-1, 1):
            behind = place.out((near + 24) / self.scale)
            back = moved(behind, place.along_deg, turn * 16 / self.scale)
            self._line([tip, self.at(back)], RUST, 6)

    def _disc(self, centre: Point, radius: float, **how: object) -> None:
        x, y = centre
        self.pen.ellipse((x - radius, y - radius, x + radius, y + radius), **how)  # type: ignore[arg-type]  # its own

    def _line(self, points: list[Point], ink: str, wide: int) -> None:
        self.pen.line(points, fill=ink, width=wide * FINER, joint="curve")

    def _cropped(self) -> Image.Image:
        """Without the empty room above and below what is drawn."""
        blank = Image.new("RGB", self.image.size, PAPER)
        drawn = ImageChops.difference(self.image, blank).getbbox()
        top, end = (drawn[1], drawn[3]) if drawn else (0, self.image.height)
        air = AIR * FINER
        return self.image.crop((0, max(top - air, 0), self.image.width, end + air))

    def png(self) -> bytes:
        small = self._cropped().reduce(FINER)
        out = BytesIO()
        small.quantize(COLOURS, Image.Quantize.FASTOCTREE).save(out, "PNG")
        return out.getvalue()


@cache
def _font() -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(FONT, LETTER * FINER)
