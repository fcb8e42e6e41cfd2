"""What stands on a paper, and where, read by poppler."""

import re
import subprocess
from collections.abc import Iterator
from io import BytesIO
from math import hypot
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

import pikepdf

WORD = re.compile(
    r'<word xMin="([0-9.]+)" yMin="([0-9.]+)" xMax="([0-9.]+)" yMax="([0-9.]+)">([^<]*)</word>'
)
MM = 25.4 / 72


class Word(NamedTuple):
    """A word and its box, in mm from the page's top left corner."""

    left: float
    top: float
    right: float
    bottom: float
    text: str


def text_of(pdf: bytes) -> str:
    """The words in reading order, parted by single spaces."""
    return " ".join(_read(pdf, "-layout").split())


def words_of(pdf: bytes, *, page: int = 1) -> list[Word]:
    read = _read(pdf, "-bbox", "-f", str(page), "-l", str(page))
    return [
        Word(
            *(float(found[1]) * MM, float(found[2]) * MM),
            *(float(found[3]) * MM, float(found[4]) * MM),
            found[5],
        )
        for found in WORD.finditer(read)
    ]


def _read(pdf: bytes, *options: str) -> str:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "paper.pdf"
        path.write_bytes(pdf)
        done = subprocess.run(
            ["pdftotext", *options, str(path), "-"], check=True, capture_output=True
        )
    return done.stdout.decode()


def letter_sizes(pdf: bytes, *, page: int = 1) -> set[float]:
    """The sizes in pt in which a page's letters stand there, to a tenth."""
    with pikepdf.open(BytesIO(pdf)) as opened:
        return {round(size, 1) for size in _sizes(opened.pages[page - 1])}


def _sizes(page: pikepdf.Page) -> Iterator[float]:
    """Font size, times the text's own matrix, times all that lie over it (ISO 32000-1, 9.4)."""
    over, kept = pikepdf.Matrix(), list[pikepdf.Matrix]()
    text, size = pikepdf.Matrix(), 0.0
    for each in pikepdf.parse_content_stream(page):
        operands: list[Any] = list(each.operands)
        match str(each.operator):
            case "q":
                kept.append(over)
            case "Q":
                over = kept.pop()
            case "cm":
                over = pikepdf.Matrix(*map(float, operands)) @ over
            case "BT" | "Tm":
                text = pikepdf.Matrix(*map(float, operands))
            case "Tf":
                size = float(operands[1])
            case "Tj" | "TJ":
                whole = text @ over
                yield size * hypot(whole.c, whole.d)
