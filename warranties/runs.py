"""Places that follow each other, said in one: "leg 1; leg 2; leg 3" is "legs 1–3".

Definition. A place is a word and a number, perhaps with more behind a comma ("leg 2, east"). Three
or more of the same word whose numbers follow each other are a run; what stands behind the comma is
left to the drawing. All others stay as they are, in their order.
"""

import re
from collections.abc import Sequence

PLACE = re.compile(r"(?P<word>[^\W\d]+) (?P<number>[0-9]+)(?:, .*)?")
SHORTEST = 3
MANY = {"leg": "legs", "tramo": "tramos", "lado": "lados"}


def in_runs(places: Sequence[str]) -> list[str]:
    """Return the places with each run said in one."""
    said: list[str] = []
    at = 0
    while at < len(places):
        length = _run(places[at:])
        said.append(_said(places[at], length) if length >= SHORTEST else places[at])
        at += length if length >= SHORTEST else 1
    return said


def _run(places: Sequence[str]) -> int:
    """How many of the first places follow each other."""
    first = PLACE.fullmatch(places[0])
    if first is None:
        return 1
    length = 1
    for place in places[1:]:
        found = PLACE.fullmatch(place)
        expected = int(first["number"]) + length
        if not found or found["word"] != first["word"] or int(found["number"]) != expected:
            break
        length += 1
    return length


def _said(place: str, length: int) -> str:
    found = PLACE.fullmatch(place)
    if found is None:
        return place
    word, first = found["word"], int(found["number"])
    return f"{MANY.get(word, word)} {first}\N{EN DASH}{first + length - 1}"
