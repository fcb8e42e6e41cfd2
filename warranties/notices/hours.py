"""When the firm may write to a home: in its own day, on Sundays only where the firm says so."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.conf import settings

from warranties import quiet


def may_write(at: datetime, *zones: ZoneInfo) -> bool:
    """Whether all of the homes may be written to: those in these zones."""
    return quiet.allowed(at, zones, sundays=settings.NOTICE_SUNDAYS)


def next_hour(at: datetime, *zones: ZoneInfo) -> datetime:
    """Return the first moment from `at` on at which homes of these zones may be written to."""
    return quiet.next_allowed(at, zones, sundays=settings.NOTICE_SUNDAYS)
