"""What stands on a paper, and where, read by poppler."""

import re
import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

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
