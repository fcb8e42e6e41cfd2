"""Exact lengths, read as a tape or a laser shows them.

A length is a number of millimetres from zero up, kept to four decimal places: a sixteenth of an
inch is then exactly 1.5875 mm, a foot exactly 304.8 mm (16 CFR 500.19; NIST Handbook 44,
Appendix C). Thirty-seconds and sixty-fourths of an inch need one or two places more and are
rounded half up to the fourth. Whatever is written at a tape's fraction reads back as the same
length.
"""
# ruff: noqa: RUF001  # Primes, curly quotes and dashes that look alike are what is read here.

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Literal, NamedTuple

from shared.wording import Translate, gettext_noop

Unit = Literal["ft", "in", "m", "cm", "mm"]
System = Literal["imperial", "metric"]

PLACES = Decimal("0.0001")
LONGEST_TEXT = 60
LONGEST_MM = 100_000_000  # 100 km: beyond it a reading is a slip of the finger.

MM: dict[str, Fraction] = {
    "ft": Fraction("304.8"),
    "in": Fraction("25.4"),
    "m": Fraction(1000),
    "cm": Fraction(10),
    "mm": Fraction(1),
}
TAPE_FRACTIONS = (2, 4, 8, 16, 32, 64)


class UnreadableLength(ValueError):
    """The text is no length. The message is fit to show a person; `position` counts from 0."""

    def __init__(self, text: str, position: int, reason: str, **values: object) -> None:
        self.text = text
        self.position = position
        self._reason = reason
        self._values = values
        super().__init__(self.said())

    @property
    def reason(self) -> str:
        return self._reason.format(**self._values)

    def said(self, translate: Translate = str) -> str:
        """Return the whole sentence in the reader's language."""
        reason = translate(self._reason).format(**self._values)
        return translate(_UNREADABLE).format(text=self.text, at=self.position + 1, reason=reason)


_UNREADABLE = gettext_noop("“{text}” cannot be read at character {at}: {reason}.")
_TOO_LONG = gettext_noop("it is too long")
_TOO_FAR = gettext_noop("it is longer than 100 km")
_NOTHING = gettext_noop("nothing is written")
_NO_MEANING = gettext_noop("“{sign}” has no meaning here")
_NEGATIVE = gettext_noop("a length cannot be below zero")
_NO_NUMBER = gettext_noop("a number is missing")
_AFTER_DECIMAL = gettext_noop("a fraction follows a decimal")
_NO_UNIT = gettext_noop("“{unit}” is no unit of length")
_TWO_WAYS = gettext_noop("“{number}” can be read in two ways; leave the comma out")
_NO_FRACTION = gettext_noop("a tape has halves, quarters and on to sixty-fourths, not 1/{bottom}")
_NOT_A_PART = gettext_noop("{top}/{bottom} is not less than one")
_UNIT_MISSING = gettext_noop("the unit is missing: ', \", m, cm or mm")
_FIRST_UNIT = gettext_noop("the unit of the first number is missing")
_NOT_LAST = gettext_noop("only the last number may have a fraction")
_CANNOT_FOLLOW = gettext_noop("“{unit}” cannot follow “{before}”")
_NUMBER_FOLLOWS = gettext_noop("a number without a unit cannot follow “{before}”")
_TOO_MANY = gettext_noop("{limit} {unit} or more are a whole {before}")


@dataclass(frozen=True, order=True, slots=True)
class Length:
    """Millimetres, exact to four places. Never below zero."""

    mm: Decimal

    def __post_init__(self) -> None:
        exact = Decimal(self.mm)
        if not exact.is_finite() or exact < 0:
            raise ValueError(f"A length is zero or more, not {self.mm} mm.")
        object.__setattr__(self, "mm", abs(exact.quantize(PLACES, ROUND_HALF_UP)))

    @classmethod
    def of(cls, amount: Decimal | Fraction | int, unit: Unit = "mm") -> Length:
        """Return an amount of a unit, rounded half up to the fourth place of a millimetre."""
        return cls(_rounded(Fraction(amount) * MM[unit]))

    @classmethod
    def parse(cls, text: str, *, unit: Unit | None = None) -> Length:
        """Read a length as people write it.

        `unit` is what a lone number means; without it a lone number is refused.
        Raises UnreadableLength, a ValueError, with the text and the position.
        """
        if len(text) > LONGEST_TEXT:
            raise UnreadableLength(text[:LONGEST_TEXT] + "…", LONGEST_TEXT, _TOO_LONG)
        mm = sum(
            (part.amount * MM[part.unit] for part in _settled(_parts(text), text, unit)),
            Fraction(0),
        )
        if mm > LONGEST_MM:
            raise UnreadableLength(text, 0, _TOO_FAR)
        return cls(_rounded(mm))

    def feet_inches(self, denominator: int = 16) -> str:
        """Return feet, inches and a fraction, as 24' 6 1/2", rounded half up to the fraction."""
        if denominator not in (1, *TAPE_FRACTIONS):
            raise ValueError(f"A tape has no fraction of 1/{denominator} in.")
        marks = _half_up(Fraction(self.mm) * denominator / MM["in"])
        feet, rest = divmod(marks, 12 * denominator)
        inches, rest = divmod(rest, denominator)
        return f"{feet}' {inches}{f' {Fraction(rest, denominator)}' if rest else ''}\""

    def metres(self) -> Decimal:
        """Return metres, exactly."""
        return self.mm / 1000

    def feet(self) -> Decimal:
        """Return decimal feet, for prices by the foot."""
        return self.mm / Decimal("304.8")

    def __str__(self) -> str:
        """Return the exact millimetres, which read back as the same length."""
        return f"{self.mm.normalize():f} mm"

    def __bool__(self) -> bool:
        return bool(self.mm)

    def __add__(self, other: Length) -> Length:
        return Length(self.mm + other.mm)

    def __sub__(self, other: Length) -> Length:
        """Return what is left. Raises ValueError where the other is the longer one."""
        return Length(self.mm - other.mm)

    def __mul__(self, times: Decimal | Fraction | int) -> Length:
        return Length.of(Fraction(self.mm) * Fraction(times))

    __rmul__ = __mul__

    def __truediv__(self, parts: Decimal | Fraction | int) -> Length:
        return Length.of(Fraction(self.mm) / Fraction(parts))


def total(lengths: Iterable[Length]) -> Length:
    """Return the sum; zero of none."""
    return sum(lengths, Length(Decimal(0)))


def length_text(length: Length, system: System = "imperial", denominator: int = 16) -> str:
    """Return the length in the reader's units: 24' 6 1/2", or 7.480 m to the millimetre.

    Both are rounded half up.
    """
    if system == "imperial":
        return length.feet_inches(denominator)
    return f"{length.metres().quantize(Decimal('0.001'), ROUND_HALF_UP)} m"


def _half_up(amount: Fraction) -> int:
    """Return the nearest whole number of an amount of zero or more, halves going up."""
    return (2 * amount.numerator + amount.denominator) // (2 * amount.denominator)


def _rounded(mm: Fraction) -> Decimal:
    sign = -1 if mm < 0 else 1
    return sign * Decimal(_half_up(abs(mm) / Fraction(PLACES))).scaleb(-4)


# Reading. A text is a row of parts ("24 ft", "6 1/2 in"), each an amount and perhaps a unit.

_SPELT: dict[Unit, str] = {
    "ft": "' ′ ’ ‘ ´ ` ft foot feet pie pies",
    "in": "\" ″ ” “ ʺ '' ′′ ’’ ‘‘ ´´ `` in inch inches pulgada pulgadas pulg",
    "m": "m meter meters metre metres metro metros",
    "cm": "cm centimeter centimeters centimetre centimetres centímetro centímetros",
    "mm": "mm millimeter millimeters millimetre millimetres milímetro milímetros",
}
_NAMES = {name: unit for unit, names in _SPELT.items() for name in names.split()}
_VULGAR: dict[str, tuple[int, int]] = {
    "½": (1, 2), "⅓": (1, 3), "⅔": (2, 3), "¼": (1, 4), "¾": (3, 4),
    "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8),
}  # fmt: skip
_TOKEN = re.compile(
    r"""\s*(?:
    (?P<fraction>[0-9]+\s*[/⁄∕]\s*[0-9]+ | [½⅓⅔¼¾⅛⅜⅝⅞])
    | (?P<number>[0-9]+(?:[.,][0-9]+)? | \.[0-9]+)
    | (?P<unit>(?P<mark>['′’‘´`])(?P=mark)? | ["″”“ʺ] | [^\W\d_]+\.?)
    | (?P<dash>[-‐‑‒–—−])
    | (?P<comma>,)
    )""",
    re.VERBOSE,
)
# A dash that nothing, or a space, stands before and no space after is a minus sign, no joint.
_MINUS = re.compile(r"(?<!\S).(?!\s)")
_COMMA = re.compile(r"[0-9]+,[0-9]{3}")
# What a part may follow, and how much of it makes one of the part before.
_WITHIN: dict[tuple[str, str], int] = {
    ("ft", "in"): 12,
    ("m", "cm"): 100,
    ("m", "mm"): 1000,
    ("cm", "mm"): 10,
}


class _Token(NamedTuple):
    kind: str
    text: str
    at: int


class _Part(NamedTuple):
    amount: Fraction
    unit: str  # Empty where none was written.
    at: int
    whole: bool = True
    mere_fraction: bool = False
    dashed: bool = False  # A dash stands before it.


def _tokens(text: str) -> list[_Token]:
    tokens, at, end = [], 0, len(text.rstrip())
    while at < end:
        found = _TOKEN.match(text, at)
        if not found:
            at += len(text[at:]) - len(text[at:].lstrip())
            raise UnreadableLength(text, at, _NO_MEANING, sign=text[at])
        kind = next(k for k in ("fraction", "number", "unit", "dash", "comma") if found[k])
        tokens.append(_Token(kind, found[kind], found.start(kind)))
        at = found.end()
    if not tokens:
        raise UnreadableLength(text, 0, _NOTHING)
    return tokens


def _parts(text: str) -> list[_Part]:
    tokens = _tokens(text)
    for token in tokens:
        if token.kind == "dash" and _MINUS.match(text, token.at):
            raise UnreadableLength(text, token.at, _NEGATIVE)
    parts: list[_Part] = []
    while tokens:
        dashed = False
        if parts and tokens[0].kind in {"dash", "comma"}:
            dashed = tokens.pop(0).kind == "dash"
        parts.append(_part(tokens, text)._replace(dashed=dashed))
    return parts


def _part(tokens: list[_Token], text: str) -> _Part:
    """Take one part off the front of the tokens."""
    if not tokens or tokens[0].kind not in {"number", "fraction"}:
        at = tokens[0].at if tokens else len(text.rstrip())
        raise UnreadableLength(text, at, _NO_NUMBER)
    first = tokens.pop(0)
    if first.kind == "fraction":
        part = _Part(_fraction(first, text), "", first.at, whole=False, mere_fraction=True)
    else:
        amount = _number(first, text)
        part = _Part(amount, "", first.at, whole=first.text.isdigit())
        kinds = [token.kind for token in tokens[:2]]
        if kinds[:1] == ["fraction"] or kinds == ["dash", "fraction"]:
            fraction = tokens[kinds.index("fraction")]
            del tokens[: kinds.index("fraction") + 1]
            if not part.whole:
                raise UnreadableLength(text, fraction.at, _AFTER_DECIMAL)
            part = part._replace(amount=amount + _fraction(fraction, text), whole=False)
    return part._replace(unit=_unit(tokens, text))


def _unit(tokens: list[_Token], text: str) -> str:
    if not tokens or tokens[0].kind != "unit":
        return ""
    token = tokens.pop(0)
    unit = _NAMES.get(token.text.rstrip(".").casefold())
    if unit is None:
        raise UnreadableLength(text, token.at, _NO_UNIT, unit=token.text)
    return unit


def _number(token: _Token, text: str) -> Fraction:
    if _COMMA.fullmatch(token.text):
        raise UnreadableLength(text, token.at, _TWO_WAYS, number=token.text)
    return Fraction(token.text.replace(",", "."))


def _fraction(token: _Token, text: str) -> Fraction:
    top, bottom = _VULGAR.get(token.text) or map(int, re.split("[/⁄∕]", token.text))
    if bottom not in TAPE_FRACTIONS:
        raise UnreadableLength(text, token.at, _NO_FRACTION, bottom=bottom)
    if top >= bottom:
        raise UnreadableLength(text, token.at, _NOT_A_PART, top=top, bottom=bottom)
    return Fraction(top, bottom)


def _settled(parts: list[_Part], text: str, lone: Unit | None) -> list[_Part]:
    """Return the parts with every unit known. Raises UnreadableLength where they do not fit."""
    if len(parts) == 1 and not parts[0].unit:
        if lone is None:
            raise UnreadableLength(text, len(text.rstrip()), _UNIT_MISSING)
        return [parts[0]._replace(unit=lone)]
    if len(parts) > 1 and not parts[0].unit and parts[1].dashed and parts[1].unit in {"", "in"}:
        parts = [parts[0]._replace(unit="ft"), *parts[1:]]
    settled = [parts[0]]
    for part in parts[1:]:
        settled.append(_following(settled[-1], part, text))
    return settled


def _following(before: _Part, part: _Part, text: str) -> _Part:
    """Return the part with its unit, as it may stand after the one before."""
    if not before.unit:
        raise UnreadableLength(text, before.at, _FIRST_UNIT)
    if not before.whole:
        raise UnreadableLength(text, part.at, _NOT_LAST)
    if not part.unit and before.unit in {"ft", "in"}:
        part = part._replace(unit="in")
    if before.unit == part.unit == "in" and part.mere_fraction:
        return part
    limit = _WITHIN.get((before.unit, part.unit))
    if limit is None:
        reason = _CANNOT_FOLLOW if part.unit else _NUMBER_FOLLOWS
        raise UnreadableLength(text, part.at, reason, unit=part.unit, before=before.unit)
    if part.amount >= limit:
        values = {"limit": limit, "unit": part.unit, "before": before.unit}
        raise UnreadableLength(text, part.at, _TOO_MANY, **values)
    return part
