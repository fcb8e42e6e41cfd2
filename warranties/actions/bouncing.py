"""Mails that came back: the notice is marked, and the address where that is at fault."""

import logging
import re
from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.db.models import F, Q, QuerySet

from customers.models import Household
from warranties import bounces
from warranties.bounces import Report
from warranties.models import Notice

log = logging.getLogger(__name__)
OURS = re.compile(r"<notice-(\d{1,18})-")


def note_bounces(*, mails: Iterable[bytes], at: datetime) -> int:
    """Note what the mails report; return how many notices came back. Twice changes nothing."""
    return sum(note_bounce(report=report, at=at) for raw in mails for report in bounces.read(raw))


@transaction.atomic
def note_bounce(*, report: Report, at: datetime) -> bool:
    """Note that a notice came back, and what joined it, once; they go on with the next plan.

    One that is only delayed waits: the mail system still tries. A report about no mail of ours, or
    one that does not know the Message-ID we gave, is not believed.
    """
    notice = _meant(report)
    if notice is None:
        log.info("A report about %s is about no notice of ours.", report.message_id or "a mail")
        return False
    said = " ".join(f"{report.status} {report.said}".split())[:300]
    with_it = Q(joined_to=notice.pk, state="joined")
    mine = Notice.objects.filter(Q(pk=notice.pk) | with_it, bounced_at=None)
    if report.outcome == "delayed":
        mine.update(bounce_said=f"delayed: {said}"[:300])
        return False
    if report.no_such:
        mark_mail(household=notice.household_id, address=report.address, said=said, at=at)
    return bool(mine.update(bounced_at=at, bounce_said=said))


def _meant(report: Report) -> Notice | None:
    """The mail that came back, if we sent it: nobody else can make its Message-ID."""
    found = OURS.match(report.message_id)
    notice = (
        Notice.objects.select_related("household").filter(pk=found[1]).first() if found else None
    )
    if notice is None or notice.message_id != report.message_id:
        return None
    return notice if notice.channel == "mail" else None


def mark_mail(*, household: int, address: str, said: str, at: datetime) -> None:
    """Write no more to the address, unless the household has another one by now.

    A mail that was sent on from there and came back from elsewhere says nothing of it. What is
    marked already keeps its day.
    """
    mine = Household.objects.filter(pk=household, mail__iexact=address)
    _mark(mine, "mail", "mail_failed", said, at)


def mark_number(*, household: int, number: str, said: str, at: datetime) -> None:
    """Text the number no more, likewise."""
    mine = Household.objects.filter(pk=household, phone=number)
    _mark(mine, "phone", "text_failed", said, at)


def _mark(mine: QuerySet[Household], column: str, failed: str, said: str, at: datetime) -> None:
    unmarked = mine.exclude(**{column: ""}).exclude(**{column: F(failed)})
    unmarked.update(**{failed: F(column), f"{failed}_at": at, f"{failed}_said": said[:300]})
