"""Due notices handed to workers; what died with a worker put back or held.

Nothing here sends. A notice handed twice is claimed once.
"""

import logging
from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from celery import signature
from kombu.exceptions import OperationalError

from warranties.joining import LATE
from warranties.models import Notice
from warranties.models.notice import CLAIM_LASTS
from warranties.notices.hours import may_write, next_hour
from warranties.notices.joining import join_waiting
from warranties.notices.planning import plan_notices

log = logging.getLogger(__name__)
TASK = "warranties.tasks.send_notice"
BATCH = 500
AT_MOST = 20_000  # In one sweep; the next one takes the rest.
UNSURE = "The sending was cut off: it cannot be told whether the mail server took it."


def send_due(now: datetime) -> int:
    """Hand what is due to workers and return how many were handed over.

    Homes where it is night are put off until their morning. What an outage held up goes out with
    what came due in it: that is planned first.
    """
    recover(now)
    late = Notice.objects.due(now - LATE)
    if late.exists():
        plan_notices(now)
        late.update(send_at=now)
    join_waiting(now)
    return sum(_hand_zone(now, zone) for zone in _zones(now))


def recover(now: datetime) -> None:
    """Take back lapsed claims: surely not sent, so planned again; cannot tell, so held."""
    lapsed = Notice.objects.abandoned(now)
    lapsed.filter(handing_over_at=None).update(state="planned", handed_at=None, claimed_at=None)
    lapsed.filter(handing_over_at__isnull=False).update(state="held", state_reason=UNSURE)


def _zones(now: datetime) -> list[str]:
    due = Notice.objects.due(now).order_by()
    return list(due.values_list("home__zone", flat=True).distinct())


def _hand_zone(now: datetime, name: str) -> int:
    due = Notice.objects.due(now).filter(home__zone=name)
    zone = ZoneInfo(name)
    if not may_write(now, zone):
        due.update(send_at=next_hour(now, zone))
        return 0
    keys = list(due.order_by("send_at", "pk").values_list("pk", flat=True)[:AT_MOST])
    return sum(_hand(keys[start : start + BATCH], now) for start in range(0, len(keys), BATCH))


def _hand(keys: Sequence[int], now: datetime) -> int:
    """Ask workers for these. Without a broker none is marked, and the next sweep asks again.

    Who was asked longer ago than the next sweep asks again is asked no more: workers that come
    back after an outage begin with a sweep, which joins what waits.
    """
    try:
        for key in keys:
            asked = signature(TASK, kwargs={"pk": key})
            asked.apply_async(retry=False, expires=CLAIM_LASTS.total_seconds())
    except OperationalError:
        log.warning("No broker: due notices wait for the next sweep.")
        return 0
    return Notice.objects.filter(pk__in=keys).update(handed_at=now)
