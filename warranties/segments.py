"""How many parts a text message is sent in, and in which alphabet.

Definition. A text whose characters are all of the 7-bit default alphabet or its extension table
is sent in GSM-7: a character counts one, one of the extension table two. Any other text is sent
in UCS-2: a character counts one, one beyond the basic plane two. One part holds 160 or 70 of
them; of several, each holds 153 or 67, for its head takes six octets. Nothing that counts two is
split between parts.
Source: 3GPP TS 23.038, 6.2.1 and 6.2.1.1 (alphabets); TS 23.040, 9.2.3.24.1 (parts).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from typing import Literal, NamedTuple

BASIC = frozenset(
    "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
)
EXTENSION = frozenset("\f^{}\\[~]|€")
ROOM = {"GSM-7": (160, 153), "UCS-2": (70, 67)}
# What word processors put in of themselves, and what stands for it in the 7-bit alphabet.
MARKS = {"\u2018": "'", "’": "'", "“": '"', "”": '"'}
PLAINER = {**MARKS, "–": "-", "—": "-", "…": "...", "\u00a0": " "}
MOST = 2  # A text of more parts is said to be long.
BEYOND = 0x10000  # the first character that UTF-16 writes as two


class Segments(NamedTuple):
    alphabet: Literal["GSM-7", "UCS-2"]
    units: int
    parts: int


def count(text: str) -> Segments:
    """Return the alphabet, how much of it the text takes, and its parts. No text, no part."""
    if all(each in BASIC or each in EXTENSION for each in text):
        return _counted("GSM-7", [1 if each in BASIC else 2 for each in text])
    return _counted("UCS-2", [1 if ord(each) < BEYOND else 2 for each in text])


def odd(text: str) -> list[str]:
    """Return the characters for whose sake the text is sent in UCS-2, each once, as they come."""
    return [each for each in dict.fromkeys(text) if each not in BASIC and each not in EXTENSION]


def named(character: str) -> str:
    """Return “’” (right single quotation mark), and what may be written instead, if anything."""
    name = unicodedata.name(character, f"U+{ord(character):04X}").lower()
    instead = PLAINER.get(character, "").replace(" ", "a plain space")
    return f"“{character}” ({name}{f'; write {instead}' if instead else ''})"


def cautions(text: str) -> Iterator[str]:
    """Say what makes the text dearer than it need be: odd characters, more parts than MOST."""
    counted, strange = count(text), odd(text)
    if strange:
        rooms = [f"{ROOM[alphabet][0]}" for alphabet in ("UCS-2", "GSM-7")]
        yield (
            f"It goes out in UCS-2, {rooms[0]} characters a segment instead of {rooms[1]}, for the"
            f" sake of {', '.join(named(each) for each in strange)}."
        )
    if counted.parts > MOST:
        yield f"It takes {counted.parts} segments, and gateways charge for each."


def _counted(alphabet: Literal["GSM-7", "UCS-2"], widths: list[int]) -> Segments:
    alone, joined = ROOM[alphabet]
    units = sum(widths)
    parts = min(units, 1) if units <= alone else _parts(widths, joined)
    return Segments(alphabet, units, parts)


def _parts(widths: Iterable[int], room: int) -> int:
    parts, used = 1, 0
    for width in widths:
        if used + width > room:
            parts, used = parts + 1, 0
        used += width
    return parts
