"""Money against the figures gathered in shared/data/stats, each with its source in the file."""

import json
from decimal import Decimal
from typing import Any

from shared.money import DECIMALS, allocate, rounded, smallest_coin
from tests.published import shared_data


def figures() -> dict[str, Any]:
    data: dict[str, Any] = json.loads(shared_data("stats", "money.json").read_text("utf-8"))
    return data


def test_allocations_of_moneyphp() -> None:
    """Source: moneyphp/money, tests/MoneyTest.php at d49ee625 (MIT)."""
    cases = figures()["allocation"]["cases"]

    assert len(cases) == 18
    for total, weights, parts in cases:
        assert allocate(Decimal(total), weights, "JPY") == parts


def test_largest_remainders() -> None:
    cases = figures()["largest_remainder"]

    assert len(cases) == 2
    for case in cases:
        assert allocate(Decimal(case["seats"]), case["weights"], "JPY") == case["result"]


def test_sales_taxes() -> None:
    """Sources: Texas Comptroller, May 2012; Louisiana FAQ 4589; RCW 82.08.054."""
    texas, discount, *louisiana, down, up, item, arizona = figures()["sales_tax"]

    state = rounded(Decimal(texas["price"]) * Decimal(texas["state_rate"]))
    local = rounded(Decimal(texas["price"]) * Decimal(texas["local_rate"]))
    assert (state, local) == (Decimal(texas["state"]), Decimal(texas["local"]))
    assert state + local == Decimal(texas["total"])
    assert rounded(
        Decimal(discount["list"]) * (1 - Decimal(discount["discount_pct"]) / 100)
    ) == Decimal("45.00")
    for case in louisiana:
        dollars = rounded(Decimal(case["purchases"]), "JPY")
        tax = rounded(dollars * Decimal(case["rate"]))
        assert (dollars, tax) == (Decimal(case["rounded"]), Decimal(case["tax"]))
        assert rounded(tax, "JPY") == Decimal(case["due"])
    assert rounded(Decimal(down["amount"])) == Decimal(down["result"])
    assert rounded(Decimal(up["amount"])) == Decimal(up["result"])
    assert rounded(Decimal(item["price"]) * Decimal(item["rate"])) == Decimal(item["result"])
    assert Decimal(arizona["rate"]) * Decimal("0.65") == Decimal(arizona["effective"])


def test_traps_of_rounding() -> None:
    *singles, three = figures()["rounding_traps"]

    for trap in singles:
        assert rounded(Decimal(trap["amount"]) * Decimal(trap["rate"])) == Decimal(trap["half_up"])
    rate = Decimal(three["rate"])
    items = [Decimal(price) for price in three["items"]]
    assert sum(rounded(price * rate) for price in items) == Decimal(three["item_basis"])
    assert rounded(sum(items, Decimal(0)) * rate) == Decimal(three["invoice_basis"])


def test_minor_units_of_every_currency() -> None:
    """Source: ISO 4217 list one, as packaged in PyPI iso4217 1.16.20260101 (public domain)."""
    listed = json.loads(shared_data("stats", "iso4217_minor_units.json").read_text("utf-8"))
    units = {code: row["minor_units"] for code, row in listed["currencies"].items()}

    assert len(units) == 178
    assert {code: n for code, n in units.items() if n is not None} == DECIMALS
    assert smallest_coin("IQD") == Decimal("0.001")
