"""Days in the styles that people and programs write."""

from datetime import date

import pytest

from customers.importing import Unreadable
from customers.importing.dates import (
    BOTH,
    DAY_FIRST,
    MONTH_FIRST,
    UNSAID,
    Order,
    needs_order,
    order_of,
    parse_day,
)

TODAY = date(2026, 3, 2)
NINTH = date(2024, 3, 9)


@pytest.mark.parametrize(
    "text",
    [
        "2024-03-09",
        "2024/3/9",
        "2024.03.09",
        "20240309",
        "2024-03-09 00:00:00",
        "2024-03-09T14:05:11Z",
        "9 March 2024",
        "9th of March, 2024",
        "March 9, 2024",
        "Sat, Mar 9 2024",
        "9-mar-24",
        "9 de marzo de 2024",
        "9.3.2024",
        "09.03.24",
        "45360",
        "45360.75",
    ],
)
def test_reads_every_style(text: str) -> None:
    assert parse_day(text, order=UNSAID, today=TODAY) == NINTH


def test_a_spreadsheet_counts_days_from_1900() -> None:
    """ECMA-376 part 1, 18.17.4.1: serial 1 is 1 January 1900, and 60 the day that never was."""
    assert parse_day("25569", order=UNSAID, today=TODAY) == date(1970, 1, 1)


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("3/9/2024", MONTH_FIRST, NINTH),
        ("9/3/2024", DAY_FIRST, NINTH),
        ("9-3-24", DAY_FIRST, NINTH),
        ("3/9/2024 2:05 PM", MONTH_FIRST, NINTH),
        ("13/3/2024", MONTH_FIRST, date(2024, 3, 13)),
        ("3/13/2024", DAY_FIRST, date(2024, 3, 13)),
        ("3/3/2024", UNSAID, date(2024, 3, 3)),
    ],
)
def test_what_comes_first_is_the_columns(text: str, order: Order, day: date) -> None:
    assert parse_day(text, order=order, today=TODAY) == day


def test_refuses_to_guess_between_two_days() -> None:
    with pytest.raises(Unreadable, match="could be March 9 or September 3"):
        parse_day("3/9/2024", order=UNSAID, today=TODAY)


@pytest.mark.parametrize(
    "text",
    [
        "2024-02-30",
        "13/13/2024",
        "March 2024",
        "2024",
        "soon",
        "1799-01-01",
        "1",
        "9 Marsh 2024",
        "²/3/2024",
    ],
)
def test_refuses_what_is_no_day(text: str) -> None:
    with pytest.raises(Unreadable):
        parse_day(text, order=MONTH_FIRST, today=TODAY)


def test_two_digits_are_the_last_such_year() -> None:
    def year(text: str) -> int:
        return parse_day(text, order=MONTH_FIRST, today=TODAY).year

    assert [year("1/2/26"), year("1/2/27"), year("1/2/28"), year("1/2/75")] == [
        2026,
        2027,
        1928,
        1975,
    ]


def test_the_unambiguous_rows_say_the_order() -> None:
    assert order_of(["3/9/2024", "3/13/2024", "2024-01-01"]) == MONTH_FIRST
    assert order_of(["3/9/2024", "13/3/2024"]) == DAY_FIRST
    assert order_of(["3/13/2024", "13/3/2024"]) == BOTH
    assert order_of(["3/9/2024"]) == UNSAID
    assert needs_order("3/9/2024")
    assert not needs_order("3/3/2024")
