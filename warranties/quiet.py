"""When a household may be reached.

Definition. From 8:00 until 21:00 by the clock of the home; 21:00 itself is quiet. A firm may keep
Sundays quiet too. Where the zone is not known, it must be allowed in every zone that it may be.
Source: 47 CFR 64.1200(c)(1), "before the hour of 8 a.m. or after 9 p.m. (local time at the called
party's location)", which we keep for every channel; ../shared/standards/law.md 5.5.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

OPENS = time(8)
CLOSES = time(21)
SUNDAY = 6
DAYS_TRIED = 10


def allowed(at: datetime, zones: Sequence[ZoneInfo], *, sundays: bool = True) -> bool:
    """Whether a household in one of these zones may be reached at that moment."""
    return all(_allowed(at.astimezone(zone), sundays=sundays) for zone in zones)


def _allowed(local: datetime, *, sundays: bool) -> bool:
    return OPENS <= local.time() < CLOSES and (sundays or local.weekday() != SUNDAY)


def next_allowed(at: datetime, zones: Sequence[ZoneInfo], *, sundays: bool = True) -> datetime:
    """Return the first moment from `at` on that is allowed in all the zones.

    Raises ValueError where there is none: the days of the zones do not overlap.
    """
    if allowed(at, zones, sundays=sundays):
        return at
    mornings = sorted(
        morning
        for zone in zones
        for days in range(DAYS_TRIED)
        for morning in [_morning(at.astimezone(zone), days)]
        if morning > at
    )
    for morning in mornings:
        if allowed(morning, zones, sundays=sundays):
            return morning.astimezone(at.tzinfo)
    raise ValueError("there is no hour of the day that is allowed in all of these zones")


def _morning(local: datetime, days: int) -> datetime:
    """The day's opening so many days on, by that clock."""
    day = local.date() + timedelta(days=days)
    return datetime.combine(day, OPENS, local.tzinfo)
