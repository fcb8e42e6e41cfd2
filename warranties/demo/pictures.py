"""Drawn stand-ins for the demo's photographs: a wall, a strip, paving. Nobody's home."""

import hashlib
import io
from random import Random

from PIL import Image, ImageDraw

from shared.photos import CleanPhoto

SIZE = (480, 360)
WALLS = ("#c9b79c", "#b99f84", "#d8cbb5", "#a7988a")


def snapshot(chance: Random) -> CleanPhoto:
    """Return a small JPEG of a stretch of wall with its strip."""
    picture = Image.new("RGB", SIZE, chance.choice(WALLS))
    pen = ImageDraw.Draw(picture)
    width, height = SIZE
    for _ in range(250):
        x, y = chance.randrange(width), chance.randrange(height)
        shade = chance.choice(("#00000018", "#ffffff30"))
        pen.ellipse((x, y, x + 3, y + 2), fill=shade[:7])
    strip = chance.randint(170, 210)
    pen.rectangle((0, strip, width, strip + 46), fill="#dfe9ea", outline="#8fa9ac", width=2)
    pen.line((0, strip + 14, width, strip + 10), fill="#f7fbfb", width=5)
    pen.rectangle((0, 318, width, height), fill="#8f8577")
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=80)
    jpeg = out.getvalue()
    return CleanPhoto(jpeg, width, height, None, hashlib.sha256(jpeg).hexdigest())
