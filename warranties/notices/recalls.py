"""Notices that a lot is called back: on the household's channel, and always by letter too.

A recall of what may endanger somebody is not told by electronic records alone (15 USC
7003(b)(2)(D)).
"""

from datetime import datetime

from django.conf import settings
from django.db.models import CharField, Exists, F, JSONField, OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Cast, Concat

from warranties import quiet
from warranties.models import Check, Notice, Promise, Recall
from warranties.notices.inserting import insert_notices

HOLDER = "home__promises__holder"  # in rows of _due


def plan_recall(recall: Recall, now: datetime) -> int:
    """Plan a word to every home of the recall that has none; return how many. Five queries."""
    zones = recall.checks.order_by().values_list("home__zone", flat=True).distinct()
    return sum(_plan_zone(recall, now, zone) for zone in list(zones))


def _plan_zone(recall: Recall, now: datetime, zone: str) -> int:
    homes = recall.checks.filter(home__zone=zone, done_on=None)
    tz = homes[0].home.tz if homes else None
    if tz is None:
        return 0
    send_at = quiet.next_allowed(now, [tz], sundays=settings.NOTICE_SUNDAYS)
    values = {
        "home_id": F("home_id"),
        "due_on": F("due_on"),
        "kind": Value("recall"),
        "facts": Value({"lot": recall.lot, "reason": recall.reason}, JSONField()),
    }
    letters = {**values, "channel": Value("letter")}
    return sum(
        insert_notices(due, what, household=HOLDER, send_at=send_at, now=now)
        for due, what in ((_due(homes, ""), values), (_by_letter(homes), letters))
    )


def _due(checks: QuerySet[Check], way: str) -> QuerySet[Check]:
    holder = Promise.objects.standing().filter(home=OuterRef("home")).order_by("-starts_on")
    occasion = Concat(
        Value("recall:"), Cast("pk", CharField()), Value(way), output_field=CharField()
    )
    held = checks.filter(home__promises=Subquery(holder.values("pk")[:1]))
    told = Notice.objects.filter(occasion=OuterRef("occasion"))
    return held.annotate(occasion=occasion).filter(~Exists(told))


def _by_letter(checks: QuerySet[Check]) -> QuerySet[Check]:
    """Those whose own channel is not the letter already."""
    plain = Concat(Value("recall:"), Cast("pk", CharField()), output_field=CharField())
    own = Notice.objects.filter(occasion=OuterRef("plain"), channel="letter")
    return _due(checks, ":letter").annotate(plain=plain).filter(~Exists(own))
