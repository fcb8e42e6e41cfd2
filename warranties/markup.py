"""The few marks in which our messages are written, turned into plain text and into HTML.

Definition. Blocks are parted by blank lines. "# " begins a heading, "## " the heading of one part
of a message of several; lines that begin with "- " are
a list; a line "[words](address)" is a button; "![words](cid:name)" is a picture that comes with the
mail; all else is a paragraph. Addresses lead to our own pages, to a telephone or to a mail address;
a button that leads elsewhere is shown as words.
"""

from __future__ import annotations

import re
from html import escape
from typing import Literal, NamedTuple

Kind = Literal["part", "heading", "list", "button", "picture", "paragraph"]
BUTTON = re.compile(r"\[([^\[\]\n]+)\]\(([^()\s]+)\)")
PICTURE = re.compile(r"!\[([^\[\]\n]+)\]\(cid:([a-z0-9-]+)\)")
HEADINGS: dict[str, Kind] = {"## ": "part", "# ": "heading"}
STYLES: dict[Kind, str] = {
    "part": "margin:40px 0 16px;padding-top:20px;border-top:1px solid #857c6c;font-size:22px;"
    "line-height:1.3",
    "heading": "margin:24px 0 8px;font-size:20px;line-height:1.3",
    "list": "margin:0 0 16px;padding-left:22px",
    "button": "margin:0 0 12px",
    "picture": "margin:0 0 16px",
    "paragraph": "margin:0 0 16px",
}


class Block(NamedTuple):
    kind: Kind
    lines: tuple[str, ...]
    address: str = ""


def blocks(text: str, *, ours: str) -> list[Block]:
    """Return the blocks of a message. `ours` is how addresses of our own pages begin."""
    return [
        _block([line.strip() for line in part.strip().splitlines()], ours)
        for part in re.split(r"\n[ \t]*\n", text.replace("\r\n", "\n"))
        if part.strip()
    ]


def _block(lines: list[str], ours: str) -> Block:
    if button := BUTTON.fullmatch(" ".join(lines)):
        words, address = button.groups()
        if address.startswith((f"{ours}/", "tel:", "mailto:")):
            return Block("button", (words,), address)
        return Block("paragraph", (words,))
    if picture := PICTURE.fullmatch(" ".join(lines)):
        return Block("picture", (picture[1],), picture[2])
    for mark, kind in HEADINGS.items():
        if lines[0].startswith(mark):
            return Block(kind, (" ".join(lines).removeprefix(mark),))
    if all(line.startswith("- ") for line in lines):
        return Block("list", tuple(line.removeprefix("- ") for line in lines))
    return Block("paragraph", tuple(lines))


def as_text(parts: list[Block]) -> str:
    """Return the message as plain text: buttons as words and address."""
    return "\n\n".join(_text(part) for part in parts) + "\n"


def _text(part: Block) -> str:
    if part.kind == "button":
        return f"{part.lines[0]}:\n{part.address}"
    if line := {"part": "=", "heading": "-"}.get(part.kind):
        return f"{part.lines[0]}\n{line * len(part.lines[0])}"
    mark = "- " if part.kind == "list" else ""
    return "\n".join(f"{mark}{line}" for line in part.lines)


def as_html(parts: list[Block]) -> str:
    """Return the message as HTML for a mail: escaped, its styles with it.

    Of buttons that follow one another only the first stands out.
    """
    level = heading_level(parts)
    before = [None, *parts]
    return "\n".join(
        _html(part, bool(last and last.kind == "button"), level)
        for last, part in zip(before, parts, strict=False)
    )


def heading_level(parts: list[Block]) -> int:
    """Return the level of its headings: the third where they stand in parts."""
    return 3 if any(part.kind == "part" for part in parts) else 2


def _html(part: Block, second: bool, level: int) -> str:
    style = STYLES[part.kind]
    lines = [escape(line) for line in part.lines]
    if part.kind in {"part", "heading"}:
        tag = "h2" if part.kind == "part" else f"h{level}"
        return f'<{tag} style="{style}">{lines[0]}</{tag}>'
    if part.kind == "list":
        return f'<ul style="{style}">{"".join(f"<li>{line}</li>" for line in lines)}</ul>'
    if part.kind == "button":
        address = escape(part.address)
        name = "button other" if second else "button"
        return f'<p style="{style}"><a class="{name}" href="{address}">{lines[0]}</a></p>'
    if part.kind == "picture":
        source = f'src="cid:{part.address}" alt="{lines[0]}"'
        return f'<p style="{style}"><img class="picture" {source}></p>'
    return f'<p style="{style}">{"<br>".join(lines)}</p>'
