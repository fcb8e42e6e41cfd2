from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.money import allocate, money_text, rounded, smallest_coin

totals = st.decimals(-1_000_000, 1_000_000, places=2)
weights = st.lists(st.decimals(0, 1000, places=3), min_size=1, max_size=12).filter(any)


@given(totals, weights)
def test_parts_sum_to_the_total(total: Decimal, shares: list[Decimal]) -> None:
    parts = allocate(total, shares)

    assert sum(parts) == total
    assert len(parts) == len(shares)


@given(totals, weights)
def test_no_part_is_a_coin_off_its_share(total: Decimal, shares: list[Decimal]) -> None:
    for part, share in zip(allocate(total, shares), shares, strict=True):
        assert abs(part - total * share / sum(shares)) < Decimal("0.0100001")
        assert share or not part


def test_ties_go_to_the_earlier_part() -> None:
    assert allocate(Decimal("0.05"), [1, 1]) == [Decimal("0.03"), Decimal("0.02")]
    assert allocate(Decimal("-0.05"), [7, 3]) == [Decimal("-0.03"), Decimal("-0.02")]


def test_allocates_in_the_coins_of_the_currency() -> None:
    assert allocate(Decimal(100), [1, 1, 1], "JPY") == [Decimal(34), Decimal(33), Decimal(33)]
    assert allocate(Decimal(1), [1, 1, 1], "KWD") == [
        Decimal("0.334"),
        Decimal("0.333"),
        Decimal("0.333"),
    ]


def test_parts_show_every_place() -> None:
    assert [str(part) for part in allocate(Decimal(1), [1, 1])] == ["0.50", "0.50"]


@pytest.mark.parametrize(
    "shares", [[], [0], [0, 0], [-1, 2], [Decimal("NaN")], [Decimal("Infinity")]]
)
def test_refuses_weights_that_divide_nothing(shares: list[Decimal]) -> None:
    with pytest.raises(ValueError, match=r"Weights|no amount"):
        allocate(Decimal(1), shares)


def test_refuses_a_total_with_a_part_of_a_cent() -> None:
    with pytest.raises(ValueError, match="no whole number"):
        allocate(Decimal("0.001"), [1])


def test_refuses_binary_floats() -> None:
    with pytest.raises(TypeError, match="float"):
        rounded(0.1)  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="float"):
        allocate(Decimal(1), [0.5, 0.5])  # type: ignore[list-item]


@pytest.mark.parametrize(
    ("amount", "currency", "result"),
    [
        ("1.005", "USD", "1.01"),
        ("-1.005", "USD", "-1.01"),
        ("1.0049", "USD", "1.00"),
        ("0.5", "JPY", "1"),
        ("1.2345", "KWD", "1.235"),
        ("2", "USD", "2.00"),
    ],
)
def test_rounds_half_away_from_zero(amount: str, currency: str, result: str) -> None:
    assert str(rounded(Decimal(amount), currency)) == result


@pytest.mark.parametrize(
    ("amount", "currency", "language", "text"),
    [
        ("1234.5", "USD", "en", "$1,234.50"),
        ("1234.5", "USD", "es", "$1,234.50"),
        ("1234.5", "USD", "es-us", "$1,234.50"),
        ("1234.5", "EUR", "es-ES", "1.234,50\N{NO-BREAK SPACE}€"),
        ("-3", "USD", "en-us", "-$3.00"),
        ("-0.004", "USD", "en", "$0.00"),
        ("1234567.895", "GBP", "en", "£1,234,567.90"),
        ("1234.4", "JPY", "en", "1,234\N{NO-BREAK SPACE}JPY"),
        ("1", "KWD", "xx", "1.000\N{NO-BREAK SPACE}KWD"),
    ],
)
def test_writes_money(amount: str, currency: str, language: str, text: str) -> None:
    assert money_text(Decimal(amount), currency, language) == text


@pytest.mark.parametrize("code", ["XXX", "XAU", "usd", "ZZZ", ""])
def test_refuses_what_is_no_currency(code: str) -> None:
    with pytest.raises(ValueError, match="no currency"):
        smallest_coin(code)
