"""The take-off: what an offer must hold so that the ring of a plan is closed.

The ring check says which details close the ring at the least price, and the plan how much of each
that takes, by the metre or by the piece (customers/plan/contacts.py). Here that becomes amounts of
the price book's items in the units it sells them by, to a hundredth. Definition: Ringkeep's own.
"""

from collections.abc import Iterable, Mapping
from decimal import Decimal

from jobs.pricing import METRES_OF

CENTI = Decimal("0.01")


def take_off(
    needed: Mapping[str, Decimal], sold: Iterable[tuple[str, str]], detail_of: Mapping[str, str]
) -> list[tuple[str, Decimal]]:
    """Return code and quantity in the book's order; what is not sold or takes nothing is left out.

    `needed` holds metres or pieces by the plan's word, `sold` code and unit of the book's items.
    """
    lines = []
    for code, unit in sold:
        amount = needed.get(detail_of.get(code, ""), Decimal(0))
        quantity = (amount / METRES_OF.get(unit, Decimal(1))).quantize(CENTI)
        if quantity:
            lines.append((code, quantity))
    return lines
