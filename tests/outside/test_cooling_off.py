"""16 CFR 429.0(f), 429.1: the third business day after the sale, and the days to pay back.

The worked dates were reckoned by hand from the rule's text and the federal holidays of 5 USC
6103(a). "S" also skips the weekday on which a weekend holiday is observed; "F" does not.
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from dateutil.easter import easter
from dateutil.relativedelta import FR, MO, TH, relativedelta

from jobs.holds import business_day_after, cooling_off_ends, refund_due_on

PHOENIX = ZoneInfo("America/Phoenix")
WORKED = [
    ("2026-11-23", "2026-11-27"),
    ("2026-11-24", "2026-11-28"),  # a Saturday counts
    ("2026-11-25", "2026-11-30"),  # eve of Thanksgiving
    ("2026-11-26", "2026-11-30"),
    ("2026-11-27", "2026-12-01"),  # the Friday after is no federal holiday
    ("2026-11-28", "2026-12-02"),
    ("2026-11-29", "2026-12-02"),
    ("2026-11-10", "2026-11-14"),  # eve of Veterans Day
    ("2026-10-09", "2026-10-14"),  # Columbus Day
    ("2026-12-23", "2026-12-28"),
    ("2026-12-24", "2026-12-29"),
    ("2026-12-30", "2027-01-04"),
    ("2027-01-15", "2027-01-20"),  # Martin Luther King's Birthday
    ("2026-06-17", "2026-06-22"),  # Juneteenth on a Friday
    ("2027-06-16", "2027-06-22"),  # Juneteenth on a Saturday, observed on Friday
    ("2026-07-01", "2026-07-07"),  # 4 July on a Saturday, observed on Friday
    ("2027-07-02", "2027-07-07"),  # 4 July on a Sunday, observed on Monday
    ("2026-09-04", "2026-09-09"),  # Labor Day
    ("2028-02-25", "2028-02-29"),  # a leap year
    ("2028-11-09", "2028-11-15"),  # Veterans Day on a Saturday, observed on Friday
]


@pytest.mark.parametrize(("sale", "last"), WORKED)
def test_last_day_to_cancel(sale: str, last: str) -> None:
    agreed_at = datetime.combine(date.fromisoformat(sale), time(15, 30), tzinfo=PHOENIX)

    ends = cooling_off_ends(agreed_at, PHOENIX)

    assert ends == datetime.combine(
        date.fromisoformat(last) + timedelta(days=1), time(), tzinfo=PHOENIX
    )


def test_the_instant_in_phoenix() -> None:
    agreed_at = datetime(2026, 11, 25, 18, 0, tzinfo=PHOENIX)

    assert cooling_off_ends(agreed_at, PHOENIX) == datetime(2026, 12, 1, 7, 0, tzinfo=UTC)


def test_the_day_of_the_sale_is_the_homes_day() -> None:
    """Tuesday 23:30 in Phoenix is Wednesday in UTC; the sale was on Tuesday."""
    agreed_at = datetime(2026, 11, 25, 6, 30, tzinfo=UTC)

    assert cooling_off_ends(agreed_at, PHOENIX).date() == date(2026, 11, 29)


@pytest.mark.parametrize(
    ("received", "due"),
    [("2026-11-30", "2026-12-11"), ("2026-11-27", "2026-12-09"), ("2026-12-15", "2026-12-28")],
)
def test_refund_within_ten_business_days(received: str, due: str) -> None:
    assert refund_due_on(date.fromisoformat(received)) == date.fromisoformat(due)


def test_fifth_business_day_before_a_note_may_be_assigned() -> None:
    assert business_day_after(date(2026, 11, 25), 5) == date(2026, 12, 2)


def _actual_holidays(year: int) -> set[date]:
    """5 USC 6103(a), written out here a second time and without the library."""
    return {
        date(year, 1, 1),
        date(year, 1, 1) + relativedelta(weekday=MO(3)),
        date(year, 2, 1) + relativedelta(weekday=MO(3)),
        date(year, 5, 31) + relativedelta(weekday=MO(-1)),
        date(year, 6, 19),
        date(year, 7, 4),
        date(year, 9, 1) + relativedelta(weekday=MO(1)),
        date(year, 10, 1) + relativedelta(weekday=MO(2)),
        date(year, 11, 11),
        date(year, 11, 1) + relativedelta(weekday=TH(4)),
        date(year, 12, 25),
    }


def _last_day_by_the_text(sale: date) -> date:
    day, left = sale, 3
    while left:
        day += timedelta(days=1)
        if day.weekday() != 6 and day not in _actual_holidays(day.year):
            left -= 1
    return day


def _observed_on_weekdays(year: int) -> set[date]:
    """The weekday that stands in for a holiday on a Saturday or Sunday (5 USC 6103(b))."""
    shift = {5: -1, 6: 1}
    return {
        day + timedelta(days=shift[day.weekday()])
        for some_year in (year, year + 1)
        for day in _actual_holidays(some_year)
        if day.weekday() in shift
    }


def test_never_earlier_than_the_rule_over_ten_years() -> None:
    """3,652 dates; later than the text only where an observed weekday lies between."""
    later = 0
    for sale in (date(2026, 1, 1) + timedelta(days=n) for n in range(3652)):
        ours, text = business_day_after(sale, 3), _last_day_by_the_text(sale)
        between = {sale + timedelta(days=n) for n in range(1, (ours - sale).days + 1)}
        assert ours >= text
        if ours > text:
            assert between & _observed_on_weekdays(sale.year)
            later += 1

    assert later > 0


def test_good_friday_and_the_day_after_thanksgiving_count() -> None:
    """They are no federal holidays."""
    good_friday = easter(2026) + relativedelta(weekday=FR(-1))

    assert business_day_after(good_friday - timedelta(days=1), 1) == good_friday
    assert business_day_after(date(2026, 11, 26), 1) == date(2026, 11, 27)
