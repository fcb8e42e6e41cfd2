"""How much stands where on a certificate: a face to be framed, and one page with all else.

A layout is tried; what was seen of it says which is next. The drawing on the face gives way first;
then the lists of what was fitted and of the exceptions move behind the face. On the back the
letters give way, down to 8.2 pt. Where even those do not hold terms and care on one page, they are
set large on two: for a long list of plants or a firm's own long terms, not for ours.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor
from typing import Any

# Of the drawing, in mm. Less shows no home; more leaves nothing for the eye to rest on.
LEAST, MOST = 56, 112
AIRY = 70
TEXTS = ("large", "roomy", "snug", "long")  # of the back, as paper.css sets them

# What is free on a face whose lists are empty, and what a line takes, in mm.
FREE = 154.5
FREE_MORE_ON_A4 = 17.0
ROW, LINE, FACT_LINE, FINE_LINE, KEY_LINE, SUBTITLE = 5.15, 4.3, 4.95, 3.9, 4.1, 5.5
# Letters a line of each holds.
IN_ROW, IN_FACT, IN_EXCEPTION, IN_FINE, IN_KEY = 92, 29, 56, 124, 112
# Letters of terms up to which the back can be as large as that; a plant counts as so many.
LARGE, ROOMY, A_PLANT, PLANTS_BESIDE = 4_300, 5_000, 150, 4


@dataclass(frozen=True, slots=True)
class Layout:
    """`drawing`: its height in mm; `apart`: the lists stand behind the face; `text`: of TEXTS;
    `loose`: the face runs on to a second page, for it holds more than one whatever is left out."""

    drawing: int
    apart: bool = False
    text: str = TEXTS[0]
    loose: bool = False

    @property
    def pages(self) -> int:
        """How many it may take."""
        return 2 + (self.apart or self.text == TEXTS[-1]) + self.loose

    @property
    def airy(self) -> bool:
        """Whether a face without a plan has so much left over that its lines stand wide apart."""
        return self.drawing >= AIRY

    def after(self, *, pages: int, spare: float) -> Layout | None:
        """Return what is tried after it was seen: on so many pages, with so many mm of its face
        left over, less than none where it holds too much. None where it stays."""
        if spare < 0 and not self.loose:
            slid_off = self.drawing + spare < 0
            halfway = (self.drawing + LEAST) // 2
            return self._with_less(halfway if slid_off else floor(self.drawing + spare))
        if pages > self.pages and self.text != TEXTS[-1]:
            return replace(self, text=TEXTS[TEXTS.index(self.text) + 1])
        return None

    def _with_less(self, drawing: int) -> Layout:
        if LEAST <= drawing < self.drawing:
            return replace(self, drawing=drawing)
        if self.drawing > LEAST:
            return replace(self, drawing=LEAST)
        if self.apart:
            return replace(self, loose=True)
        return Layout(MOST, apart=True)


def first_layout(page: Mapping[str, Any], *, a4: bool) -> Layout:
    """Return the one that is likely to fit, by counting lines: most papers are laid out once."""
    record = page["record"]
    free = FREE + a4 * FREE_MORE_ON_A4 - bool(page["title"][1]) * SUBTITLE
    free -= ROW * sum(_lines([each["places"]], IN_ROW) for each in page["fitted"])
    free -= LINE * max(2, _lines(record["exceptions"], IN_EXCEPTION))
    free -= FACT_LINE * max(2, len(record["home"]["lines"]), _lines([record["holder"]], IN_FACT))
    free -= FINE_LINE * _lines([f"{each.title} {each.text}" for each in page["face"]], IN_FINE)
    free -= KEY_LINE * _lines(["  ".join(" ".join(each) for each in page["key"])], IN_KEY)
    more_plants = max(0, len(page["plants"]) - PLANTS_BESIDE)
    letters = len(record["terms"]["body"]) + A_PLANT * more_plants
    return Layout(
        drawing=min(max(floor(free), LEAST), MOST),
        text=TEXTS[(letters > LARGE) + (letters > ROOMY)],
    )


def _lines(texts: Sequence[str], in_line: int) -> int:
    return sum(max(1, ceil(len(text) / in_line)) for text in texts)
