"""Notices that the growing season begins: once a year, to promised homes with watched plants."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import Exists, F, OuterRef, QuerySet, Subquery, Value

from customers.models import Home, Ownership
from warranties.models import Promise, Watch
from warranties.notices.hours import next_hour
from warranties.notices.inserting import insert_notices, untold

LATE = timedelta(days=21)  # A season that began longer ago is not told of any more.


def plan_season(now: datetime) -> int:
    """Plan the year's word on the season. A query or two a time zone, none out of season."""
    month, day = (int(part) for part in settings.NOTICE_SEASON.split("-"))
    begins = date(now.year, month, day)
    if not begins <= now.date() < begins + LATE:
        return 0
    homes = _untold(now.year)
    zones = list(homes.order_by().values_list("zone", flat=True).distinct())
    return sum(_plan_zone(homes.filter(zone=name), name, now) for name in zones)


def _untold(year: int) -> QuerySet[Home]:
    watched = Watch.objects.growing().filter(plant__home=OuterRef("pk"), opens_on__isnull=False)
    now = Ownership.objects.filter(home=OuterRef("pk"), until=None).order_by("pk").values("pk")
    promised = Promise.objects.standing().filter(home=OuterRef("pk"))
    homes = Home.objects.filter(Exists(watched), Exists(promised))
    return untold(homes.filter(ownerships=Subquery(now[:1])), "season:", F("pk"), f":{year}")


def _plan_zone(homes: QuerySet[Home], name: str, now: datetime) -> int:
    send_at = next_hour(now, ZoneInfo(name))
    values = {"home_id": F("pk"), "kind": Value("season")}
    return insert_notices(
        homes, values, household="ownerships__household", send_at=send_at, now=now
    )
