"""Delimited text as programs and people write it: encodings, separators, line ends, quotes.

The form is RFC 4180's, read generously. Memory stays bounded by the longest record.
"""

import codecs
import csv
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from customers.importing.problems import NotATable

SEPARATORS = ",;\t|"
LONGEST_CELL = 131_072  # characters; csv's own limit, set here so that nobody else's setting counts
SAMPLE = 262_144  # bytes looked at to tell the separator
SAMPLE_ROWS = 60
CHUNK = 1_048_576
NOT_CLOSED = "A quotation mark is opened and never closed."

_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
# A carriage return alone is part of a cell where lines end otherwise; csv would end the row there.
_LONE_RETURN = re.compile(r"\r(?!\n)")
_STAND_IN = "\ue00d"  # a private-use character: no text means anything by it
_MANY_CONTROLS = 0.01


@dataclass(frozen=True, slots=True)
class Dialect:
    encoding: str
    separator: str
    newline: str  # what open() is told: "\n", or "" where lines end in carriage returns


def dialect_of(path: Path) -> Dialect:
    """Return how the file is written. Raises NotATable for what is no text."""
    encoding = _encoding(path)
    with path.open("rb") as raw:
        start = raw.read(SAMPLE)
    text = codecs.getincrementaldecoder(encoding)("replace").decode(start)
    controls = sum(char < " " and char not in "\t\r\n\f" for char in text)
    if controls > max(8, len(text) * _MANY_CONTROLS):
        raise NotATable("This is no table: it is neither text nor a workbook.")
    newline = "" if "\n" not in text and "\r" in text else "\n"
    return Dialect(encoding, _separator(text, newline), newline)


def text_rows(path: Path, dialect: Dialect) -> Iterator[tuple[list[str], str]]:
    """Yield every record, in order, with what is wrong with it as text ("" for nothing).

    Raises NotATable where a record is longer than any table's.
    """
    with path.open(encoding=dialect.encoding, errors="replace", newline=dialect.newline) as file:
        lines = _Lines(file)
        reader = csv.reader(lines, delimiter=dialect.separator)
        csv.field_size_limit(LONGEST_CELL)
        waiting: list[str] | None = None
        while True:
            try:
                cells = next(reader)
            except StopIteration:
                break
            except csv.Error as error:
                raise NotATable(_too_long(reader.line_num, error)) from error
            if waiting is not None:
                yield waiting, ""
            waiting = [cell.replace(_STAND_IN, "\r") for cell in cells]
            lines.kept, lines.before = [], lines.kept
        if waiting is not None:
            yield waiting, "" if _closed(lines.before, dialect) else NOT_CLOSED


class _Lines:
    """The file's lines; those of the record being read are kept to see whether it ends well."""

    def __init__(self, file: Iterator[str]) -> None:
        self.file = file
        self.kept: list[str] = []
        self.before: list[str] = []

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        line = next(self.file)
        if not line.endswith("\r"):
            line = _LONE_RETURN.sub(_STAND_IN, line)
        self.kept.append(line)
        return line


def _closed(lines: list[str], dialect: Dialect) -> bool:
    """Whether the quotes of these lines come in pairs, as csv counts them."""
    try:
        for _row in csv.reader(lines, delimiter=dialect.separator, strict=True):
            pass
    except csv.Error as error:
        return "unexpected end of data" not in str(error)
    return True


def _too_long(line: int, error: csv.Error) -> str:
    if "field larger" in str(error):
        return (
            f"The record that ends near line {line} has a cell of more than {LONGEST_CELL:,}"
            " characters. Perhaps a quotation mark before it is never closed."
        )
    return f"Line {line} cannot be read: {error}."


def _encoding(path: Path) -> str:
    """By its mark; else UTF-16 by its zeros, UTF-8 if all of it is, else Windows' western one."""
    with path.open("rb") as raw:
        start = raw.read(4_096)
        for bom, name in _BOMS:
            if start.startswith(bom):
                return name
        if zeros := _utf16_by_zeros(start):
            return zeros
        decoder = codecs.getincrementaldecoder("utf-8")("strict")
        raw.seek(0)
        try:
            while chunk := raw.read(CHUNK):
                decoder.decode(chunk)
            decoder.decode(b"", final=True)
        except UnicodeDecodeError:
            return "cp1252"
    return "utf-8"


def _utf16_by_zeros(start: bytes) -> str:
    even, odd = start[::2].count(0), start[1::2].count(0)
    many = len(start) // 5
    if odd > many and even * 8 < odd:
        return "utf-16-le"
    if even > many and odd * 8 < even:
        return "utf-16-be"
    return ""


def _separator(text: str, newline: str) -> str:
    """Return the sign that cuts most rows into one and the same number of cells, over one."""
    scores = {sign: _evenness(text, sign, newline) for sign in SEPARATORS}
    best = max(SEPARATORS, key=lambda sign: scores[sign])
    return best if scores[best] > (0, 0) else ","


def _evenness(text: str, sign: str, newline: str) -> tuple[float, int]:
    """Return what share of rows has the usual number of cells, and that number; zeros for one."""
    ends = newline or "\r"
    lines = (_LONE_RETURN.sub(" ", line) + ends for line in text.split(ends))
    try:
        rows = [row for row in islice(csv.reader(lines, delimiter=sign), SAMPLE_ROWS) if any(row)]
    except csv.Error:
        return (0, 0)
    if not rows:
        return (0, 0)
    usual, times = Counter(len(row) for row in rows).most_common(1)[0]
    return (times / len(rows), usual) if usual > 1 else (0, 0)
