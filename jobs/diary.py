"""The diary's week on paper: which days it has, and where a visit's bar lies in its day.

Weeks are those of ISO 8601 (2026-W10), Monday first. A bar is measured in quarter hours from the
hour at which the drawing of a day begins; what lies outside is cut off.
"""

import re
from dataclasses import dataclass
from datetime import date, datetime, timedelta

FIRST_HOUR, LAST_HOUR = 6, 20
FIRST_YEAR, LAST_YEAR = 1970, 2200  # of a week that an address may ask for
QUARTERS_SHOWN = (LAST_HOUR - FIRST_HOUR) * 4
_WEEK = re.compile(r"([0-9]{4})-W([0-9]{2})")


@dataclass(frozen=True, slots=True)
class Bar:
    """From quarter `x`, `width` quarters long, in a drawing of QUARTERS_SHOWN."""

    x: int
    width: int


def monday_of(week: str, today: date) -> date:
    """Return the week's Monday; this week's where the text is no week."""
    found = _WEEK.fullmatch(week)
    try:
        asked = date.fromisocalendar(int(found[1]), int(found[2]), 1) if found else today
    except ValueError:
        asked = today
    # Beyond these the weeks before and after would leave the calendar.
    return _monday(asked if FIRST_YEAR <= asked.year <= LAST_YEAR else today)


def week_name(day: date) -> str:
    year, week, _weekday = day.isocalendar()
    return f"{year}-W{week:02}"


def days_of(monday: date) -> list[date]:
    return [monday + timedelta(days=number) for number in range(7)]


def bar(starts_at: datetime, ends_at: datetime, day: date) -> Bar | None:
    """Where a visit lies in that day's drawing, by the wall clock; None where it does not."""
    first, last = _quarter(starts_at, day), _quarter(ends_at, day)
    x, end = max(first, 0), min(last, QUARTERS_SHOWN)
    return Bar(x, end - x) if end > x else None


def _quarter(moment: datetime, day: date) -> int:
    """Quarter hours by the clock on the wall from the day's first drawn hour."""
    days = (moment.date() - day).days
    return (days * 24 + moment.hour - FIRST_HOUR) * 4 + moment.minute // 15


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())
