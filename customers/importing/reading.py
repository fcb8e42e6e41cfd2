"""A table from a file: its headings, then its rows, whatever program wrote it.

The headings are the first row that has any text, once lone titles above them are passed over. A
column without a heading is called by its number; a heading met twice is numbered.
"""

from collections.abc import Generator, Iterator
from contextlib import closing
from dataclasses import dataclass
from itertools import chain, count, islice
from pathlib import Path
from typing import NamedTuple

from customers.importing.problems import NotATable
from customers.importing.textfiles import dialect_of, text_rows
from customers.importing.workbooks import is_workbook, workbook_rows

MOST_COLUMNS = 500
TITLE_ROWS = 20
LEAST_HEADINGS_UNDER_TITLE = 3
EMPTY = "The file is empty."

Raw = Generator[tuple[list[str], str], None, None]


class Row(NamedTuple):
    """`number` counts as a spreadsheet does, so the row under the headings is usually 2."""

    number: int
    cells: list[str]
    problem: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    headings: list[str]
    rows: Iterator[Row]


def read_table(path: Path) -> Table:
    """Return the headings and the rows, which are read as they are asked for.

    Empty rows are passed over; short rows are filled up; a row with more cells than there are
    headings keeps them and says so. Raises NotATable, also while rows are read.
    """
    if not path.stat().st_size:
        raise NotATable(EMPTY)
    with closing(_raw(path)) as first:
        filled = islice(_with_text(enumerate(first, start=1)), TITLE_ROWS)
        begun = [(number, cells) for number, (cells, _) in filled]
    if not begun:
        raise NotATable(EMPTY)
    titles = _titles([cells for _, cells in begun])
    headings = named([cell.replace("\0", "").strip() for cell in begun[titles][1]])
    if len(headings) > MOST_COLUMNS:
        raise NotATable(f"The table has more than {MOST_COLUMNS} columns.")
    above = begun[titles][0]
    again = enumerate(_raw(path), start=1)
    rows = _with_text((number, row) for number, row in again if number > above)
    return Table(headings, (_row(number, *row, len(headings)) for number, row in rows))


def named(headings: list[str]) -> list[str]:
    """Return the headings, every one filled and different from the others."""
    while headings and not headings[-1]:
        headings = headings[:-1]
    filled = [heading or f"Column {at}" for at, heading in enumerate(headings, start=1)]
    different: list[str] = []
    for heading in filled:
        free = heading
        if heading in different:
            taken = {*different, *filled}
            numbered = (f"{heading} ({number})" for number in count(2))
            free = next(each for each in numbered if each not in taken)
        different.append(free)
    return different


def _raw(path: Path) -> Raw:
    if is_workbook(path):
        with closing(workbook_rows(path)) as rows:
            yield from ((cells, "") for cells in rows)
    else:
        yield from text_rows(path, dialect_of(path))


def _with_text(
    rows: Iterator[tuple[int, tuple[list[str], str]]],
) -> Iterator[tuple[int, tuple[list[str], str]]]:
    return (each for each in rows if any(cell.strip() for cell in each[1][0]) or each[1][1])


def _titles(begun: list[list[str]]) -> int:
    """Return how many rows at the top are titles: alone in their row, above a wide one."""
    filled = [sum(bool(cell.strip()) for cell in cells) for cells in begun]
    for at, cells in enumerate(filled):
        if cells > 1:
            return at if cells >= LEAST_HEADINGS_UNDER_TITLE else 0
    return 0


def _row(number: int, cells: list[str], problem: str, width: int) -> Row:
    cells = [cell.replace("\0", "") for cell in cells]  # PostgreSQL keeps none
    beyond = [cell for cell in cells[width:] if cell.strip()]
    if beyond:
        more = f"The row has {width + len(beyond)} cells or more, but there are {width} headings."
        return Row(number, cells, " ".join(filter(None, (problem, more))))
    filled = list(islice(chain(cells, iter(lambda: "", None)), width))
    return Row(number, filled, problem)
