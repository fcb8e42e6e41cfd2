"""ISO 7064 MOD 97-10 against published strings."""

import json

import pytest

from shared.checkdigits import mod_97_10
from tests.published import shared_data


def test_published_check_digits() -> None:
    """Source: python-stdnum 2.2 doctests at 006192e5; docs.rs iso7064 (969500...33)."""
    cases = json.loads(shared_data("stats", "check_digits.json").read_text("utf-8"))["mod_97_10"]

    assert len(cases) == 8
    for body, check in cases:
        assert mod_97_10(body) == check


def test_bank_account_numbers() -> None:
    """ISO 13616 takes the same digits over the number with its country moved behind."""
    numbers = json.loads(shared_data("stats", "check_digits.json").read_text("utf-8"))

    assert len(numbers["iban_valid"]) == 4
    for number in numbers["iban_valid"]:
        assert mod_97_10(number[4:] + number[:2]) == number[2:4]


@pytest.mark.parametrize(
    ("body", "check"), [("794", "44"), ("5367", "02"), ("5303", "97"), ("5335", "98")]
)
def test_check_digits_at_the_ends_of_their_range(body: str, check: str) -> None:
    """Source: statistics.md section 7; python-stdnum 2.2 doctests."""
    assert mod_97_10(body) == check
