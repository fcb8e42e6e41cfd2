"""When the firm may write to a home: in its own day, on Sundays only where the firm says so."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.conf import settings

from warranties import quiet


def may_write(at: datetime, zone: ZoneInfo) -> bool:
    return quiet.allowed(at, [zone], sundays=settings.NOTICE_SUNDAYS)


def next_hour(at: datetime, zone: ZoneInfo) -> datetime:
    """Return the first moment from `at` on at which homes of the zone may be written to."""
    return quiet.next_allowed(at, [zone], sundays=settings.NOTICE_SUNDAYS)
