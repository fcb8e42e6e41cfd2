"""What jobs earned: revenue less what they cost, at the fitting and in keeping the promise.

Margin is revenue less materials, labour, other cost and the promise's cost; margin per cent is
margin over revenue. Both are the usual terms of job costing (common practice). A total is the sum
of its parts, to the cent; its per cent is of the totals, never a mean of per cents.
"""

from collections.abc import Iterable, Sequence
from dataclasses import astuple, dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

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

    def __add__(self, more: "Earnings") -> "Earnings":
        return Earnings(*(a + b for a, b in zip(astuple(self), astuple(more), strict=True)))


def total(each: Iterable[Earnings]) -> Earnings:
    return sum(each, Earnings())


def months_until(last: date, count: int) -> list[date]:
    """The first days of the last `count` months, oldest first, ending with that of `last`."""
    serial = last.year * 12 + last.month - 1
    return [date(month // 12, month % 12 + 1, 1) for month in range(serial - count + 1, serial + 1)]


def by_month(
    dated: Iterable[tuple[date, Earnings]], months: Sequence[date]
) -> list[tuple[date, Earnings]]:
    """The earnings of each month asked for, in that order; what falls outside is left out."""
    sums = dict.fromkeys(months, Earnings())
    for on, earnings in dated:
        first = on.replace(day=1)
        if first in sums:
            sums[first] += earnings
    return list(sums.items())
