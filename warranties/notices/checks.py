"""Notices that a check is due: of check plans, not booked yet, three weeks ahead."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import CharField, Exists, F, OuterRef, QuerySet, Value
from django.db.models.functions import Cast, Concat

from warranties import quiet
from warranties.models import Check, Notice
from warranties.notices.inserting import insert_notices

AHEAD = timedelta(days=21)
PAST = timedelta(days=365)  # A check that is overdue for longer was given up on.


def plan_checks(now: datetime) -> int:
    """Plan a notice for every check that is due soon, once. A query or two a time zone."""
    zones = _due(now).order_by().values_list("home__zone", flat=True).distinct()
    return sum(_plan_zone(now, name) for name in list(zones))


def _due(now: datetime) -> QuerySet[Check]:
    """Checks of plans that run: due soon, neither booked nor done, and not told of."""
    occasion = Concat(Value("check:"), Cast("pk", CharField()), output_field=CharField())
    told = Notice.objects.filter(occasion=OuterRef("occasion"))
    return (
        Check.objects.filter(
            plan__isnull=False,
            plan__ended_on=None,
            booking=None,
            done_on=None,
            due_on__lte=(now + AHEAD).date(),
            due_on__gt=(now - PAST).date(),
        )
        .annotate(occasion=occasion)
        .filter(~Exists(told))
    )


def _plan_zone(now: datetime, name: str) -> int:
    send_at = quiet.next_allowed(now, [ZoneInfo(name)], sundays=settings.NOTICE_SUNDAYS)
    values = {
        "home_id": F("home_id"),
        "due_on": F("due_on"),
        "kind": Value("seal-check"),
    }
    due = _due(now).filter(home__zone=name)
    return insert_notices(due, values, household="plan__holder", send_at=send_at, now=now)
