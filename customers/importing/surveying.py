"""One look over a whole table before it is read: how long, what its columns look like."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from customers.importing.cells import NOTHING_BUT_A_NAME, cleaned
from customers.importing.dates import BOTH, UNSAID, Order, needs_order, order_said
from customers.importing.problems import NotATable
from customers.importing.reading import Row, read_table

EXAMPLES = 60
SHOWN = 3
HEADINGS_ONLY = "The table has headings but no rows."


@dataclass(frozen=True, slots=True)
class Survey:
    """`orders`: what comes first in each column's days; `asks`: columns that do not say it."""

    headings: list[str]
    rows: int
    examples: dict[str, list[str]]
    orders: dict[str, Order]
    asks: list[str]

    def to_json(self) -> dict[str, Any]:
        shown = {heading: texts[:SHOWN] for heading, texts in self.examples.items()}
        return {
            "headings": self.headings,
            "rows": self.rows,
            "examples": shown,
            "orders": self.orders,
            "asks": self.asks,
        }


def survey_table(path: Path) -> Survey:
    """Return what the whole table looks like, in one pass. Raises NotATable."""
    table = read_table(path)
    columns = [_Column() for _ in table.headings]
    rows = 0
    for row in table.rows:
        rows += 1
        for column, text in zip(columns, _texts(row), strict=False):
            column.see(text)
    if not rows:
        raise NotATable(HEADINGS_ONLY)
    named = dict(zip(table.headings, columns, strict=True))
    return Survey(
        headings=table.headings,
        rows=rows,
        examples={heading: column.examples for heading, column in named.items()},
        orders={heading: column.order for heading, column in named.items() if column.order},
        asks=[
            heading
            for heading, column in named.items()
            if column.asks and column.order in {UNSAID, BOTH}
        ],
    )


def _texts(row: Row) -> Iterator[str]:
    for cell in row.cells:
        text = cleaned(cell)
        yield "" if text.casefold() in NOTHING_BUT_A_NAME else text


class _Column:
    def __init__(self) -> None:
        self.examples: list[str] = []
        self.order: Order = UNSAID
        self.asks = False

    def see(self, text: str) -> None:
        if not text:
            return
        if len(self.examples) < EXAMPLES and text[:200] not in self.examples:
            self.examples.append(text[:200])
        if not text[:1].isdecimal():
            return
        said = order_said(text)
        if said and self.order and said != self.order:
            self.order = BOTH
        self.order = self.order or said
        self.asks = self.asks or needs_order(text)
