"""A promise is suspended, comes back, ends, or gets its certificate anew."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from django.db import transaction
from django.utils.formats import date_format

from customers.models import Plant
from shared.models import User
from shared.refusals import Refused
from warranties.actions.promising import issue_certificate
from warranties.models import Certificate, Check, Notice, Promise, Reading
from warranties.models.promise import named_holders

BETWEEN_NOTICES = timedelta(days=14)  # as the shipped terms say: two weeks apart


class NotSuspendable(Refused):
    """The terms or the record do not allow it. The message is fit to show a person."""


class NotReinstatable(Refused):
    """No check has found the ring closed. The message is fit to show a person."""


class PromiseEnded(Refused):
    """It has ended. The message is fit to show a person."""


@transaction.atomic
def suspend(*, promise: Promise, plant: Plant, by: User | None, at: datetime) -> None:
    """Suspend the promise for a plant that was not cut after repeated notices.

    Only where the promise's own terms say so, with the notices as the record. Raises
    NotSuspendable.
    """
    held = _standing(promise)
    needed = held.terms.suspend_after_notices
    if needed is None:
        raise NotSuspendable(f"The terms of {held.number} do not allow it to be suspended.")
    if held.state == "suspended":
        raise NotSuspendable(f"{held.number} is suspended already.")
    notices = notices_unheeded(plant)
    if len(notices) < needed:
        raise NotSuspendable(
            f"The terms ask for {needed} notices about {plant.name}, two weeks apart, since it was"
            f" last cut; {len(notices)} were sent."
        )
    days = ", ".join(date_format(notice.sent_at) for notice in notices if notice.sent_at)
    held.state = "suspended"
    held.save()
    held.changes.create(
        at=at, kind="suspended", by=by, reason=f"{plant} not cut after notices of {days}."[:500]
    )
    promise.refresh_from_db()


@transaction.atomic
def reinstate(*, promise: Promise, check: Check, by: User | None, at: datetime) -> None:
    """Bring it back into force after a check. Raises NotReinstatable."""
    held = _standing(promise)
    suspended = held.changes.filter(kind="suspended").first()
    if held.state != "suspended" or suspended is None:
        raise NotReinstatable(f"{held.number} is not suspended.")
    since = suspended.at.astimezone(held.home.tz).date()
    if check.home_id != held.home_id or check.done_on is None or check.done_on < since:
        raise NotReinstatable(f"It needs a check at this home, made since {date_format(since)}.")
    held.state = "in-force"
    held.save()
    held.changes.create(
        at=at, kind="reinstated", by=by, reason=f"Check of {date_format(check.done_on)}."
    )
    promise.refresh_from_db()


@transaction.atomic
def end(*, promise: Promise, on: date, reason: str, by: User | None, at: datetime) -> None:
    """End it for good. Raises PromiseEnded where it has ended, Refused without a reason."""
    held = _standing(promise)
    if not reason.strip():
        raise Refused("Say why it ends: the household will ask.")
    if on < held.starts_on:
        raise Refused(f"It cannot end before it began on {date_format(held.starts_on)}.")
    held.state, held.ended_on = "ended", on
    held.save()
    held.changes.create(at=at, kind="ended", by=by, reason=reason.strip()[:500])
    promise.refresh_from_db()


@transaction.atomic
def issue_again(*, promise: Promise, reason: str, by: User | None, at: datetime) -> Certificate:
    """Write the next edition: a name or an exception changed, a paper was lost.

    Raises PromiseEnded.
    """
    held = _standing(promise)
    current = held.certificates.current().first()
    if current and current.record.get("holder") != named_holders(held):
        held.changes.create(at=at, kind="renamed", by=by, reason=reason.strip()[:500])
    return issue_certificate(promise=held, at=at, reason=reason, by=by)


def notices_unheeded(plant: Plant) -> list[Notice]:
    """The notices about a plant since it last stood clear, those two weeks apart. Two queries."""
    cut = (
        Reading.objects.filter(plant=plant)
        .exclude(trimmed_to_mm=None)
        .order_by("-on")
        .values_list("on", flat=True)
        .first()
    )
    sent = Notice.objects.filter(plant=plant, kind="trim-back", state="sent").order_by("sent_at")
    return _apart(
        notice for notice in sent if cut is None or (notice.sent_at and notice.sent_at.date() > cut)
    )


def _apart(notices: Iterable[Notice]) -> list[Notice]:
    kept: list[Notice] = []
    for notice in notices:
        last = kept[-1].sent_at if kept else None
        if notice.sent_at and (last is None or notice.sent_at - last >= BETWEEN_NOTICES):
            kept.append(notice)
    return kept


def _standing(promise: Promise) -> Promise:
    held = Promise.objects.select_for_update().select_related("terms", "home").get(pk=promise.pk)
    if held.state == "ended":
        day = date_format(held.ended_on) if held.ended_on else ""
        raise PromiseEnded(f"{held.number} ended on {day}.")
    return held
