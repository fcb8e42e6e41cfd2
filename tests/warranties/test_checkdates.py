from datetime import date

import pytest

from warranties.checkdates import check_dates, ends_on


def test_thirty_days_and_then_each_year() -> None:
    assert check_dates(date(2026, 3, 2), 3) == [
        date(2026, 4, 1),
        date(2027, 3, 2),
        date(2028, 3, 2),
        date(2029, 3, 2),
    ]


@pytest.mark.parametrize(
    ("start", "later"),
    [
        (date(2026, 1, 31), [date(2027, 1, 31), date(2028, 1, 31)]),
        (date(2027, 2, 28), [date(2028, 2, 28), date(2029, 2, 28)]),
        (
            date(2024, 2, 29),
            [date(2025, 2, 28), date(2026, 2, 28), date(2027, 2, 28), date(2028, 2, 29)],
        ),
    ],
    ids=["the 31st stays the 31st", "the 28th stays", "a leap day comes back"],
)
def test_month_ends_do_not_slip(start: date, later: list[date]) -> None:
    assert check_dates(start, len(later))[1:] == later
    assert ends_on(start, len(later)) == later[-1]


def test_refuses_no_years() -> None:
    with pytest.raises(ValueError, match="a year or more"):
        check_dates(date(2026, 1, 1), 0)
