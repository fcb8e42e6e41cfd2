"""Notices that a lot is called back: on the household's channel, and always by letter too.

A recall of what may endanger somebody is not told by electronic records alone (15 USC
7003(b)(2)(D)).
"""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.db.models import Exists, F, JSONField, OuterRef, QuerySet, Subquery, Value

from warranties.models import Check, Notice, Promise, Recall
from warranties.notices.hours import next_hour
from warranties.notices.inserting import insert_notices, occasion, untold

HOLDER = "home__promises__holder"  # in rows of _due


def plan_recall(recall: Recall, now: datetime) -> int:
    """Plan a word to every home of the recall that has none; return how many were added.

    A query, and two a time zone.
    """
    zones = recall.checks.order_by().values_list("home__zone", flat=True).distinct()
    return sum(_plan_zone(recall, now, name) for name in list(zones))


def _plan_zone(recall: Recall, now: datetime, name: str) -> int:
    checks = recall.checks.filter(home__zone=name, done_on=None)
    send_at = next_hour(now, ZoneInfo(name))
    values = {
        "home_id": F("home_id"),
        "due_on": F("due_on"),
        "kind": Value("recall"),
        "facts": Value({"lot": recall.lot, "reason": recall.reason}, JSONField()),
    }
    letters = {**values, "channel": Value("letter")}
    return sum(
        insert_notices(due, what, household=HOLDER, send_at=send_at, now=now)
        for due, what in ((_due(checks), values), (_by_letter(checks), letters))
    )


def _due(checks: QuerySet[Check], way: str = "") -> QuerySet[Check]:
    holder = Promise.objects.standing().filter(home=OuterRef("home")).order_by("-starts_on")
    held = checks.filter(home__promises=Subquery(holder.values("pk")[:1]))
    return untold(held, "recall:", F("pk"), way)


def _by_letter(checks: QuerySet[Check]) -> QuerySet[Check]:
    """Those whose own channel is not the letter already."""
    own = Notice.objects.filter(occasion=OuterRef("plain"), channel="letter")
    due = _due(checks, ":letter").annotate(plain=occasion("recall:", F("pk")))
    return due.filter(~Exists(own))
