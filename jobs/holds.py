"""Times in which something must not happen: the cooling-off days after an agreement.

16 CFR 429.1: the buyer may cancel "at any time prior to midnight of the third business day after
the date of this transaction". 16 CFR 429.0(f): a business day is "any calendar day except Sunday
or any federal holiday", so Saturday counts. Whether the weekday on which a weekend holiday is
observed counts is unsettled (5 USC 6103(b) moves it for pay and leave only); we skip it too, which
is never earlier than the rule asks. 16 CFR 429.0(a): the rule begins at 25 dollars at the home.
"""

from datetime import date, datetime, time, timedelta, tzinfo
from decimal import Decimal
from functools import cache

import holidays

COOLING_OFF_DAYS = 3
REFUND_DAYS = 10  # 16 CFR 429.1(g)
COVERED_FROM = Decimal("25.00")


@cache
def _federal(year: int) -> frozenset[date]:
    """Federal holidays of the year, on their own day and on the day they are observed."""
    return frozenset(holidays.country_holidays("US", years=year, observed=True))


def business_day(day: date) -> bool:
    sunday = 6
    return day.weekday() != sunday and day not in _federal(day.year)


def business_day_after(day: date, count: int) -> date:
    """Return the count-th business day after the day."""
    while count:
        day += timedelta(days=1)
        count -= business_day(day)
    return day


def cooling_off_ends(agreed_at: datetime, zone: tzinfo) -> datetime:
    """Return the first moment at which work may begin: midnight after the third business day."""
    last = business_day_after(agreed_at.astimezone(zone).date(), COOLING_OFF_DAYS)
    return datetime.combine(last + timedelta(days=1), time.min, tzinfo=zone)


def refund_due_on(received_on: date) -> date:
    """Return the last day to pay back after a cancellation was received (16 CFR 429.1(g))."""
    return business_day_after(received_on, REFUND_DAYS)
