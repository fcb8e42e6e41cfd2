"""Notices that a visit is tomorrow: from eight in the morning of the day before, the home's time.

None to whom was told of the visit within the last day; none by letter, which would come too late.
"""

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Exists, F, OuterRef, QuerySet, Subquery, Value

from customers.models import Ownership
from jobs.models import Booking
from warranties.models import Notice
from warranties.notices.hours import next_hour
from warranties.notices.inserting import insert_notices, untold

LATELY = timedelta(days=1)
TOO_SLOW = Value("letter")


def plan_tomorrow(now: datetime) -> int:
    """Plan a word for every visit of tomorrow, once. A query, and two a time zone."""
    soon = Booking.objects.standing().between(now, now + timedelta(days=3)).order_by()
    zones = soon.values_list("home__zone", flat=True).distinct()
    return sum(_plan_zone(now, name) for name in list(zones))


def _plan_zone(now: datetime, name: str) -> int:
    zone = ZoneInfo(name)
    send_at = next_hour(now, zone)
    tomorrow = send_at.astimezone(zone).date() + timedelta(days=1)
    begins = datetime.combine(tomorrow, time(), zone)
    ends = datetime.combine(tomorrow + timedelta(days=1), time(), zone)
    if send_at > now:
        return 0  # The day before has not begun, or it is night: nothing is planned ahead of it.
    visits = Booking.objects.standing().filter(
        home__zone=name, starts_at__gte=begins, starts_at__lt=ends, done_at=None
    )
    values = {
        "home_id": F("home_id"),
        "booking_id": F("pk"),
        "kind": Value("visit-tomorrow"),
        "tried": TOO_SLOW,
    }
    untold, when = _untold(visits, now), {"send_at": send_at, "now": now}
    owner = Ownership.objects.filter(home=OuterRef("home"), until=None).order_by("pk").values("pk")
    of_owners = untold.filter(job=None, home__ownerships=Subquery(owner[:1]))
    return insert_notices(
        untold.filter(job__isnull=False), values, household="job__household", tried="slow", **when
    ) + insert_notices(
        of_owners, values, household="home__ownerships__household", tried="slow", **when
    )


def _untold(visits: QuerySet[Booking], now: datetime) -> QuerySet[Booking]:
    lately = Notice.objects.filter(booking=OuterRef("pk"), send_at__gt=now - LATELY)
    rest = visits.annotate(slow=TOO_SLOW).filter(~Exists(lately))
    return untold(rest, "visit-tomorrow:", F("pk"), ":", F("sequence"))
