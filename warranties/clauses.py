"""The text of terms as clauses that can be printed, checked and pointed at.

A body is plain text in blocks parted by blank lines. "## Title [name]" begins a clause. Under it
come paragraphs, lines "- ..." (a list) and lines "1. ..." (steps). A line of a list may end in a
[name] of its own: then it is a clause that a decision can name. The markup is our own, smaller
than Markdown, so that nothing a firm types can become anything but text.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

_HEADING = re.compile(r"## +(?P<title>.+?)(?: +\[(?P<name>[a-z-]+)\])?")
_BULLET = re.compile(r"- +(?P<text>.+?)(?: +\[(?P<name>[a-z-]+)\])?")
_STEP = re.compile(r"[0-9]+\. +(?P<text>.+)")
_SETTING = re.compile(r"(?P<key>[a-z_]+): *(?P<value>.*)")


@dataclass(frozen=True, slots=True)
class Block:
    """`kind` is text, bullets or steps."""

    kind: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Clause:
    title: str
    name: str
    blocks: tuple[Block, ...] = ()
    items: Mapping[str, str] = field(default_factory=dict)

    @property
    def text(self) -> str:
        """Every line of the clause, in order, without its title."""
        return "\n".join(line for block in self.blocks for line in block.lines)

    @property
    def as_read(self) -> str:
        """The clause as it stands on paper: its title, its lines, its steps numbered."""
        lines = [self.title]
        for block in self.blocks:
            steps = enumerate(block.lines, start=1)
            numbered = (f"{number}. {line}" for number, line in steps)
            lines += numbered if block.kind == "steps" else block.lines
        return "\n".join(lines)


def read_clauses(body: str) -> list[Clause]:
    """Return the clauses. Lines before the first heading make a clause without title or name."""
    clauses: list[Clause] = []
    title, name, lines = "", "", list[str]()
    for line in [*body.splitlines(), "## end"]:
        if found := _HEADING.fullmatch(line.strip()):
            if title or any(lines):
                clauses.append(_clause(title, name, lines))
            title, name, lines = found["title"], found["name"] or "", []
        else:
            lines.append(line.strip())
    return clauses


def clause_texts(body: str) -> dict[str, str]:
    """Return every named clause's text, those within lists included."""
    texts: dict[str, str] = {}
    for clause in read_clauses(body):
        if clause.name:
            texts[clause.name] = clause.text
        texts.update(clause.items)
    return texts


def fill(text: str, values: Mapping[str, str]) -> str:
    """Return the text with {name} replaced. A name that is not given stays, to be seen."""
    return re.sub(r"\{([a-z_]+)\}", lambda found: values.get(found[1], found[0]), text)


def read_draft(text: str) -> tuple[dict[str, str], str]:
    """Split a shipped draft into the settings on top ("title: ...") and its body."""
    settings: dict[str, str] = {}
    head, _, body = text.partition("\n\n")
    for line in head.splitlines():
        found = _SETTING.fullmatch(line)
        if not found:
            raise ValueError(f"A draft begins with settings, not with “{line}”.")
        settings[found["key"]] = found["value"]
    return settings, body.strip() + "\n"


def _clause(title: str, name: str, lines: list[str]) -> Clause:
    blocks: list[Block] = []
    items: dict[str, str] = {}
    for kind, text, item in _lines(lines):
        if item:
            items[item] = text
        if blocks and blocks[-1].kind == kind and kind != "text":
            blocks[-1] = Block(kind, (*blocks[-1].lines, text))
        else:
            blocks.append(Block(kind, (text,)))
    return Clause(title, name, tuple(blocks), items)


def _lines(lines: list[str]) -> Iterator[tuple[str, str, str]]:
    """Yield kind, text and name of each line that holds something."""
    for line in lines:
        if found := _BULLET.fullmatch(line):
            yield "bullets", found["text"], found["name"] or ""
        elif found := _STEP.fullmatch(line):
            yield "steps", found["text"], ""
        elif line:
            yield "text", line, ""
