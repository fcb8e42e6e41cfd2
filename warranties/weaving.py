"""Several notices written as one message, in the marks of warranties/markup.py.

Definition. One part alone stands as it was written. Of several, each stands under its subject, in
the order given. What they say alike is said once: a greeting that opens every part before them, a
button after them, any other paragraph where it comes first. Paragraphs of a part's own, as those
about one plant, always stay.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from warranties.markup import BUTTON


class Paragraph(NamedTuple):
    """`own`: it belongs to its part even where another says the same."""

    text: str
    own: bool = False


class Part(NamedTuple):
    subject: str
    paragraphs: Sequence[Paragraph]


def woven(parts: Sequence[Part], *, opening: str) -> str:
    """Return the message; `opening` stands before the list of what several are about."""
    if len(parts) == 1:
        return "\n\n".join(each.text for each in parts[0].paragraphs)
    greeting = _greeting(parts)
    closing = _buttons_of_several(parts)
    said = {*greeting, *closing}
    lines = [*greeting, opening, "\n".join(f"- {part.subject}" for part in parts)]
    for part in parts:
        new = [each.text for each in part.paragraphs if each.own or each.text not in said]
        lines += [f"## {part.subject}", *map(_begun, new[:1]), *new[1:]]
        said |= {each.text for each in part.paragraphs}
    return "\n\n".join([*lines, *closing])


def _begun(text: str) -> str:
    """What followed a greeting's comma follows a heading now."""
    return text[:1].upper() + text[1:]


def _greeting(parts: Sequence[Part]) -> list[str]:
    first = {part.paragraphs[0].text if part.paragraphs else "" for part in parts}
    return [*first] if len(first) == 1 and "" not in first else []


def _buttons_of_several(parts: Sequence[Part]) -> list[str]:
    """In the order in which they come."""
    told = Counter(text for part in parts for text in dict.fromkeys(_texts(part)))
    return [text for text, count in told.items() if count > 1 and BUTTON.fullmatch(text)]


def _texts(part: Part) -> list[str]:
    return [each.text for each in part.paragraphs if not each.own]
