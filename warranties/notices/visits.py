"""Notices that a visit is tomorrow: from eight in the morning of the day before, the home's time.

None to whom was told of the visit within the last day; none by letter, which would come too late.
"""

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import CharField, Exists, F, OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Cast, Concat

from customers.models import Ownership
from jobs.models import Booking
from warranties import quiet
from warranties.models import Notice
from warranties.notices.inserting import insert_notices

LATELY = timedelta(days=1)
TOO_SLOW = Value("letter")


def plan_tomorrow(now: datetime) -> int:
    """Plan a word for every visit of tomorrow, once. A query, and two a time zone."""
    soon = Booking.objects.standing().between(now, now + timedelta(days=3)).order_by()
    zones = soon.values_list("home__zone", flat=True).distinct()
    return sum(_plan_zone(now, name) for name in list(zones))


def _plan_zone(now: datetime, name: str) -> int:
    zone = ZoneInfo(name)
    send_at = quiet.next_allowed(now, [zone], sundays=settings.NOTICE_SUNDAYS)
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
    key = [Cast("pk", CharField()), Value(":"), Cast("sequence", CharField())]
    occasion = Concat(Value("visit-tomorrow:"), *key, output_field=CharField())
    lately = Notice.objects.filter(booking=OuterRef("pk"), send_at__gt=now - LATELY)
    told = Notice.objects.filter(occasion=OuterRef("occasion"))
    return visits.annotate(occasion=occasion, slow=TOO_SLOW).filter(~Exists(told), ~Exists(lately))
