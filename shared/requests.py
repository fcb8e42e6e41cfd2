"""The request as our views see it, so that types know what decorators and middleware did."""

from datetime import date

from django.http import HttpRequest
from django.utils.dateparse import parse_date
from django_htmx.middleware import HtmxDetails

from shared.models import User


class StaffRequest(HttpRequest):
    user: User
    htmx: HtmxDetails


# Days beyond these are mistyped; sums with the calendar's own ends would overflow.
FIRST_DAY, LAST_DAY = date(1970, 1, 1), date(2200, 12, 31)


def day_asked(text: str) -> date | None:
    """Return the day that an address asks for (2026-03-02), None where it names none of ours."""
    try:
        day = parse_date(text)
    except ValueError:
        return None
    return day if day and is_ours(day) else None


def is_ours(day: date) -> bool:
    """Whether somebody can have meant this day."""
    return FIRST_DAY <= day <= LAST_DAY
