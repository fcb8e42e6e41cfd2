"""When the visits of a check plan fall due.

The first is thirty days after the ring was proved, then one each year, counted from the day of the
proof: month ends do not slip. From 29 February a common year takes 28 February and the next leap
year takes 29 February again (dateutil's relativedelta, always from the first day).
"""

from datetime import date, timedelta

from dateutil.relativedelta import relativedelta

FIRST = timedelta(days=30)


def check_dates(start: date, years: int) -> list[date]:
    """Return the days on which visits are due, in order. Raises ValueError for no years."""
    if years < 1:
        raise ValueError("A check plan lasts a year or more.")
    return [start + FIRST, *(start + relativedelta(years=n) for n in range(1, years + 1))]


def ends_on(start: date, years: int) -> date:
    """Return the day on which the plan ends: that of its last visit."""
    return start + relativedelta(years=years)
