"""What jobs earned: revenue less what they cost, at the fitting and in keeping the promise.

Margin is revenue less materials, labour, other cost and the promise's cost; margin per cent is
margin over revenue. Both are the usual terms of job costing (common practice). A total is the sum
of its parts, to the cent; its per cent is of the totals, never a mean of per cents.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from operator import add, neg
from typing import NamedTuple

TENTH = Decimal("0.1")


@dataclass(frozen=True, slots=True)
class Earnings:
    """Amounts in the firm's currency, before tax."""

    revenue: Decimal = Decimal(0)
    materials: Decimal = Decimal(0)
    labour: Decimal = Decimal(0)
    other: Decimal = Decimal(0)
    promise: Decimal = Decimal(0)

    @property
    def cost(self) -> Decimal:
        return self.materials + self.labour + self.other + self.promise

    @property
    def margin(self) -> Decimal:
        return self.revenue - self.cost

    @property
    def margin_percent(self) -> Decimal | None:
        """To a tenth, half up; None where there is no revenue to take it of."""
        if not self.revenue:
            return None
        return (self.margin * 100 / self.revenue).quantize(TENTH, ROUND_HALF_UP)

    @property
    def amounts(self) -> tuple[Decimal, ...]:
        """The five in their order."""
        return (self.revenue, self.materials, self.labour, self.other, self.promise)

    def __add__(self, more: "Earnings") -> "Earnings":
        return Earnings(*map(add, self.amounts, more.amounts))

    def __neg__(self) -> "Earnings":
        return Earnings(*map(neg, self.amounts))


@dataclass(frozen=True, slots=True)
class Counted:
    """So many jobs and what they earned."""

    jobs: int = 0
    earned: Earnings = field(default_factory=Earnings)

    def __add__(self, more: "Counted") -> "Counted":
        return Counted(self.jobs + more.jobs, self.earned + more.earned)

    def __neg__(self) -> "Counted":
        return Counted(-self.jobs, -self.earned)


class Cell(NamedTuple):
    """What one kept sum is of: the jobs fitted in a month (its first day), of one kind and source,
    by one crew (its key, None where none is named)."""

    month: date
    kind: str
    source: str
    crew: int | None


Sums = Mapping[Cell, Counted]


def differences(before: Sums, after: Sums) -> dict[Cell, Counted]:
    """What must be added to `before` to make it `after`; cells that stay as they are left out."""
    nothing = Counted()
    moved = {
        cell: after.get(cell, nothing) + -before.get(cell, nothing)
        for cell in sorted({*before, *after}, key=lambda cell: (*cell[:3], cell.crew or 0))
    }
    return {cell: more for cell, more in moved.items() if more != nothing}


def months_until(last: date, count: int) -> list[date]:
    """The first days of the last `count` months, oldest first, ending with that of `last`."""
    serial = last.year * 12 + last.month - 1
    return [date(month // 12, month % 12 + 1, 1) for month in range(serial - count + 1, serial + 1)]


def by_month(sums: Mapping[date, Earnings], months: Sequence[date]) -> list[tuple[date, Earnings]]:
    """The earnings of each month asked for, in that order; zero where none were."""
    nothing = Earnings()
    return [(month, sums.get(month, nothing)) for month in months]
