"""Notices that a check is due: of check plans, not booked yet, three weeks ahead."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import F, QuerySet, Value

from warranties.models import Check
from warranties.notices.hours import next_hour
from warranties.notices.inserting import insert_notices, untold

AHEAD = timedelta(days=21)
PAST = timedelta(days=365)  # A check that is overdue for longer was given up on.


def plan_checks(now: datetime) -> int:
    """Plan a notice for every check that is due soon, once. A query or two a time zone."""
    zones = _due(now).order_by().values_list("home__zone", flat=True).distinct()
    return sum(_plan_zone(now, name) for name in list(zones))


def _due(now: datetime) -> QuerySet[Check]:
    """Checks of plans that run: due soon, neither booked nor done, and not told of."""
    soon = Check.objects.filter(
        plan__isnull=False,
        plan__ended_on=None,
        booking=None,
        done_on=None,
        due_on__lte=(now + AHEAD).date(),
        due_on__gt=(now - PAST).date(),
    )
    return untold(soon, "check:", F("pk"))


def _plan_zone(now: datetime, name: str) -> int:
    send_at = next_hour(now, ZoneInfo(name))
    values = {
        "home_id": F("home_id"),
        "due_on": F("due_on"),
        "kind": Value("seal-check"),
    }
    due = _due(now).filter(home__zone=name)
    return insert_notices(due, values, household="plan__holder", send_at=send_at, now=now)
