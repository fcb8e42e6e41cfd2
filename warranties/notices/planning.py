"""Which notices are due to be planned: one INSERT ... SELECT a zone.

An occasion is told once, held by the database: a plan made twice, or by two at once, changes
nothing. What an outage delayed is not made up for: only the last reminder that is due is planned,
and what waits for one household goes out as one message (warranties/joining.py).
"""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import (
    Case,
    Exists,
    F,
    OuterRef,
    Q,
    QuerySet,
    Value,
    When,
)

from warranties import trimming
from warranties.models import Notice, Watch
from warranties.models.watch import HOLDER
from warranties.notices.checks import plan_checks
from warranties.notices.escalating import plan_escalations
from warranties.notices.hours import next_hour
from warranties.notices.inserting import insert_notices, untold
from warranties.notices.inwriting import plan_agreements
from warranties.notices.joining import join_waiting
from warranties.notices.papers import plan_certificates
from warranties.notices.seasons import plan_season
from warranties.notices.visits import plan_tomorrow

REST = timedelta(days=6)  # So long a home hears nothing more of the same plant.
WAITING = ("planned", "claimed", "held")


def plan_notices(now: datetime) -> int:
    """Plan what is due and return how many notices were added. Twice plans nothing twice."""
    planned = sum(_plan_zone(now, zone) for zone in _zones(now)) + plan_escalations(now)
    others = (plan_checks, plan_certificates, plan_agreements, plan_tomorrow, plan_season)
    planned += sum(plan(now) for plan in others)
    join_waiting(now)
    return planned


def _zones(now: datetime) -> list[str]:
    furthest = now.date() + timedelta(days=max(settings.NOTICE_LEADS) + 8)
    watches = Watch.objects.growing().open_by(furthest).order_by()
    return list(watches.values_list("plant__home__zone", flat=True).distinct())


def _plan_zone(now: datetime, name: str) -> int:
    """Plan the trim-backs of the homes in one time zone: the last reminder that is due."""
    zone = ZoneInfo(name)
    horizons = trimming.horizons(now.astimezone(zone).date(), settings.NOTICE_LEADS)
    send_at = next_hour(now, zone)
    due = _trim_backs(name, horizons).filter(~_told_lately(now))
    values = {
        "plant_id": F("plant_id"),
        "home_id": F("plant__home_id"),
        "due_on": F("opens_on"),
        "kind": Value("trim-back"),
        "lead": F("reminder"),
    }
    return insert_notices(due, values, household=HOLDER, send_at=send_at, now=now)


def _trim_backs(zone: str, horizons: Sequence[date]) -> QuerySet[Watch]:
    """The plants of which a reminder is due, each with its number: the last one that is due.

    `horizons`: by when a plant opens whose first, second, ... reminder is due.
    """
    due = Watch.objects.growing().promised().open_by(horizons[0]).filter(plant__home__zone=zone)
    last_first = reversed([*enumerate(horizons, start=1)])
    reminder = Case(*(When(opens_on__lte=by, then=number) for number, by in last_first))
    due = due.with_household().annotate(reminder=reminder)
    return untold(due, "trim-back:plant-", F("plant_id"), ":", F("cycle"), ":", F("reminder"))


def _told_lately(now: datetime) -> Exists:
    """The plant has a notice that waits, was just sent, or was answered by a call for help."""
    mine = Notice.objects.filter(plant=OuterRef("plant"), kind="trim-back")
    return Exists(
        mine.filter(
            Q(state__in=WAITING)
            | Q(sent_at__gt=now - REST)
            | Q(state="joined", sent_at=None)
            | Q(answer="help", answer_handled_at=None)
        )
    )
