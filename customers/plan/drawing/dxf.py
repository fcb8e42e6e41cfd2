"""The drawing as DXF R2010, in millimetres, a layer for each style: for any drawing program."""

import io

from customers.plan.drawing.scene import Drawing
from customers.plan.drawing.shapes import Circle, Line

# The format's numbered colours: 1 red, 3 green, 4 cyan, 7 ink, 8 grey.
COLOURS = {
    "strip": 4,
    "aluminium": 4,
    "detail": 4,
    "dot": 4,
    "strip-open": 1,
    "aluminium-open": 1,
    "detail-open": 1,
    "way-in": 1,
    "way-in-tip": 1,
    "plant": 3,
    "plant-due": 3,
    "hidden": 8,
    "leader": 8,
}
DASHED = ("strip-open", "aluminium-open", "detail-open", "plant-due", "way-in", "hidden", "fence")
ALIGN = {"start": "LEFT", "middle": "CENTER", "end": "RIGHT"}


def as_dxf(drawing: Drawing) -> str:
    """Return the text of the DXF file. The key stands as text below the picture."""
    # Imported here: it takes a third of a second, which no other page should pay.
    import ezdxf.filemanagement  # noqa: PLC0415
    from ezdxf.enums import TextEntityAlignment  # noqa: PLC0415

    file = ezdxf.filemanagement.new("R2010", setup=True)
    file.header["$INSUNITS"] = 4  # millimetres
    space = file.modelspace()
    for style in sorted(drawing.used | {"key"}):
        linetype = "DASHED" if style in DASHED else "CONTINUOUS"
        file.layers.add(style, color=COLOURS.get(style, 7), linetype=linetype)
    for shape in drawing.shapes:
        attributes = {"layer": shape.style}
        if isinstance(shape, Line):
            space.add_lwpolyline(shape.points, close=shape.closed, dxfattribs=attributes)
        elif isinstance(shape, Circle):
            space.add_circle(shape.centre, shape.radius, dxfattribs=attributes)
        else:
            text = space.add_text(shape.text, height=shape.height, dxfattribs=attributes)
            text.set_placement(shape.at, align=TextEntityAlignment[ALIGN[shape.anchor]])
    height = 15 * drawing.unit
    for i, line in enumerate(drawing.key, start=1):
        at = (drawing.box.left, drawing.box.low - i * height * 1.6)
        said = f"{line.number}  {line.said()}"
        key = space.add_text(said, height=height, dxfattribs={"layer": "key"})
        key.set_placement(at, align=TextEntityAlignment.LEFT)
    out = io.StringIO()
    file.write(out)
    return out.getvalue()
