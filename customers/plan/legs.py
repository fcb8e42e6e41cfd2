"""The legs of a wall walk as they are measured, and what can be wrong with them."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field as stored
from decimal import Decimal
from typing import Protocol

from shared.length import Length, System, length_text
from shared.wording import Translate, gettext_noop

Number = Decimal | float | int
FARTHEST_MM = 1e9


class MeasuredLeg(Protocol):
    """Whatever can be walked: the length, then the turn at its end."""

    @property
    def id(self) -> str: ...
    @property
    def length_mm(self) -> Number: ...
    @property
    def turn_deg(self) -> Number: ...
    @property
    def rise_mm(self) -> Number: ...


@dataclass(frozen=True)
class Leg:
    """One straight stretch of wall, or a curved one by its chord and rise.

    Lengths in mm, turns in degrees. A turn to the left is positive, and so is a rise that bows
    to the left of the one who walks.
    """

    length_mm: Number
    turn_deg: Number = 90
    rise_mm: Number = 0
    id: str = ""


def leg_name(index: int, leg_id: str, translate: Translate = str) -> str:
    """Return a leg as it is spoken of: "leg 7", or its id with the dashes taken out."""
    numbered = re.fullmatch(r"leg-?([0-9]+)", leg_id)
    if leg_id and not numbered:
        return leg_id.replace("-", " ")
    number = numbered[1] if numbered else index + 1
    return translate(gettext_noop("leg {number}")).format(number=number)


@dataclass(frozen=True)
class Problem:
    """What is wrong, and where: a leg by its place and id, and the field of it.

    `leg` is None and `leg_id` empty where the walk as a whole is meant; its field is "legs".
    """

    code: str
    text: str
    leg: int | None = None
    leg_id: str = ""
    field: str = "legs"
    values: Mapping[str, object] = stored(default_factory=dict, hash=False)

    @property
    def message(self) -> str:
        return self.said()

    def said(self, system: System = "imperial", translate: Translate = str) -> str:
        """Return the sentence in the reader's units and language."""
        values = {name: shown(value, system, translate) for name, value in self.values.items()}
        if self.leg is not None:
            values["leg"] = leg_name(self.leg, self.leg_id, translate)
        sentence = translate(self.text).format(**values)
        return sentence[:1].upper() + sentence[1:]


def shown(value: object, system: System, translate: Translate) -> str:
    """Return a value as it stands in a sentence: a length in the reader's units, a leg's name."""
    if isinstance(value, Length):
        return length_text(value, system)
    if isinstance(value, tuple):
        index, leg_id = value
        return leg_name(index, leg_id, translate)
    return str(value)


def degrees(turn: float) -> str:
    """Return an angle to the tenth of a degree, without a zero that says nothing."""
    return f"{round(turn, 1):g}°"


def millimetres(amount: float) -> Length:
    """Return the length of an amount of either sign, cut off at 1,000 km."""
    return Length(Decimal(min(abs(amount), FARTHEST_MM)))
