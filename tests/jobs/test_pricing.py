from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.pricing import balance_due, deposit_of, line_amount, missing_to_minimum, offer_totals

cents = st.decimals(min_value=0, max_value=100_000, places=2)


@pytest.mark.parametrize(
    ("quantity", "price", "amount"),
    [
        ("160", "24.00", "3840.00"),
        ("0.5", "0.01", "0.01"),
        ("1.125", "4.00", "4.50"),
        ("24.542", "7.50", "184.07"),
        ("0.333", "0.03", "0.01"),
    ],
    ids=["whole", "half a cent goes up", "eighths", "up from .065", "down from .00999"],
)
def test_line_amount(quantity: str, price: str, amount: str) -> None:
    assert line_amount(Decimal(quantity), Decimal(price)) == Decimal(amount)


def test_totals_of_an_offer() -> None:
    totals = offer_totals(
        [Decimal("3840.00"), Decimal("90.00")],
        tax_rate=Decimal("0.0725"),
        deposit=Decimal("1000.00"),
    )

    assert totals.net == Decimal("3930.00")
    assert totals.tax == Decimal("284.93")  # 284.925
    assert totals.total == Decimal("4214.93")
    assert totals.rest == Decimal("3214.93")


def test_an_offer_without_lines_comes_to_nothing() -> None:
    assert offer_totals([], tax_rate=Decimal("0.05")).total == 0


@pytest.mark.parametrize(
    ("amounts", "missing"),
    [([], "0"), (["100.00"], "500.00"), (["599.99"], "0.01"), (["600.00"], "0"), (["900"], "0")],
)
def test_missing_to_minimum(amounts: list[str], missing: str) -> None:
    assert missing_to_minimum(map(Decimal, amounts), Decimal(600)) == Decimal(missing)


def test_deposit_is_rounded_half_up() -> None:
    assert deposit_of(Decimal("100.05"), Decimal("0.3")) == Decimal("30.02")


@given(st.lists(cents), cents)
def test_after_paying_the_balance_nothing_is_due(payments: list[Decimal], total: Decimal) -> None:
    left = balance_due(total, payments)

    assert balance_due(total, [*payments, left]) == 0
