"""What an offer comes to, and what is still due.

A line's amount is quantity times price, rounded half up to the cent, so that the printed lines sum
to the printed net. Tax is reckoned once, on the net, and rounded half up once. The least that a
fitting is done for stands on the offer as a line of its own, so that the net is always the sum of
the lines.
"""

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from shared.money import rounded

NOTHING = Decimal("0.00")
METRES_OF = {"ft": Decimal("0.3048"), "m": Decimal(1)}


@dataclass(frozen=True, slots=True)
class OfferTotals:
    """In the firm's currency. `rest` is what is due after the deposit."""

    net: Decimal
    tax: Decimal
    total: Decimal
    deposit: Decimal
    rest: Decimal


def line_amount(quantity: Decimal, unit_price: Decimal) -> Decimal:
    return rounded(quantity * unit_price)


def missing_to_minimum(amounts: Iterable[Decimal], minimum: Decimal) -> Decimal:
    """Return what a fitting's lines lack of the least it is done for; zero of no lines at all."""
    amounts = list(amounts)
    return max(minimum - sum(amounts), NOTHING) if amounts else NOTHING


def offer_totals(
    amounts: Iterable[Decimal], *, tax_rate: Decimal, deposit: Decimal = NOTHING
) -> OfferTotals:
    """Return the sums over the lines' amounts. `tax_rate` is a fraction: 0.0725 is 7.25 %."""
    net = sum(amounts, NOTHING)
    tax = rounded(net * tax_rate)
    total = net + tax
    return OfferTotals(net=net, tax=tax, total=total, deposit=deposit, rest=total - deposit)


def deposit_of(total: Decimal, share: Decimal) -> Decimal:
    """Return the deposit that a share of the total comes to, half up to the cent."""
    return rounded(total * share)


def balance_due(total: Decimal, payments: Iterable[Decimal]) -> Decimal:
    """Return what is still due; below zero where we hold too much. Refunds count as negative."""
    return total - sum(payments, NOTHING)


def plain(amount: Decimal) -> str:
    """Return the number without zeros that say nothing: 160.500 is 160.5, 7.2500 is 7.25."""
    text = f"{amount:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def plan_prices(
    sold: Iterable[tuple[str, str, Decimal]], detail_of: Mapping[str, str], by_metre: Container[str]
) -> tuple[dict[str, Decimal], frozenset[str]]:
    """Return the prices of details as the plan counts them, and those sold by the piece.

    `sold` are code, unit and price; `by_metre` the details that the plan counts by the metre. What
    is sold by a unit that its detail does not have (a collar by the foot) is left out.
    """
    amounts: dict[str, Decimal] = {}
    by_piece = set()
    for code, unit, price in sold:
        detail = detail_of.get(code)
        metres = METRES_OF.get(unit)
        if detail is None:
            continue
        if unit == "each":
            amounts[detail] = price
            by_piece.add(detail)
        elif metres and detail in by_metre:
            amounts[detail] = price / metres
    return amounts, frozenset(by_piece)
