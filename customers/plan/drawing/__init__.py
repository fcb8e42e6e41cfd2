"""The plan as a drawing to scale: one picture, written as SVG for screen and paper, or as DXF."""

from customers.plan.drawing.dxf import as_dxf
from customers.plan.drawing.scene import Drawing, TitleBlock, draw, draw_within
from customers.plan.drawing.spot import spot
from customers.plan.drawing.svg import Foot, as_svg
from customers.plan.drawing.symbols import PlantSize
from customers.plan.drawing.words import in_language, in_words

__all__ = [
    "Drawing",
    "Foot",
    "PlantSize",
    "TitleBlock",
    "as_dxf",
    "as_svg",
    "draw",
    "draw_within",
    "in_language",
    "in_words",
    "spot",
]
