"""A promise is suspended, comes back, ends, or gets its certificate anew."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from django.db import transaction
from django.utils.formats import date_format

from customers.models import Plant
from shared.length import Length
from shared.models import User
from shared.refusals import Refused
from warranties.actions import noticing
from warranties.actions.promising import issue_certificate
from warranties.certificate import certificate_record
from warranties.decision import last_clear
from warranties.models import Certificate, Check, Notice, Promise, PromiseChange
from warranties.models.promise import holders, named_holders
from warranties.told import RESTS, Telling, readings_of, tellings

BETWEEN_NOTICES = timedelta(days=14)  # as the shipped terms say: two weeks apart
TOLD_AS = {"suspended": RESTS, "reinstated": "promise-again", "ended": "promise-ended"}


class NotSuspendable(Refused):
    """The terms or the record do not allow it. The message is fit to show a person."""


class NotReinstatable(Refused):
    """No check has found the ring closed. The message is fit to show a person."""


class PromiseEnded(Refused):
    """It has ended. The message is fit to show a person."""


@transaction.atomic
def suspend(*, promise: Promise, plant: Plant, by: User | None, at: datetime) -> None:
    """Suspend the promise for a plant that bridges the ring, uncut after repeated notices.

    Only where the promise's own terms say so, with the notices as the record; the household is
    told. Raises NotSuspendable.
    """
    held = _standing(promise)
    if plant.home_id != held.home_id or plant.removed_on:
        raise NotSuspendable(f"{plant.name} does not stand at this home.")
    needed = held.terms.suspend_after_notices
    if needed is None:
        raise NotSuspendable(f"The terms of {held.number} do not allow it to be suspended.")
    if held.state == "suspended":
        raise NotSuspendable(f"{held.number} is suspended already.")
    told = tellings_unheeded(held, plant)
    if len(told) < needed:
        raise NotSuspendable(
            f"The terms ask for {needed} notices about {plant.name}, two weeks apart, since it was"
            f" last cut; {len(told)} were sent."
        )
    days = ", ".join(date_format(each.at) for each in told)
    if not _still_touches(plant, since=told[needed - 1].at.astimezone(held.home.tz).date()):
        raise NotSuspendable(
            f"Go and see first: nobody has measured {plant.name} touching since the notices of"
            f" {days}."
        )
    held.state = "suspended"
    held.save()
    reason = f"{plant} not cut after notices of {days}."
    change = held.changes.create(at=at, kind="suspended", by=by, reason=reason[:500])
    _tell(held, change, at, plant=plant.name, told=[each.at.isoformat() for each in told])
    promise.refresh_from_db()


@transaction.atomic
def reinstate(*, promise: Promise, check: Check, by: User | None, at: datetime) -> None:
    """Bring it back into force after a check that found no plant touching; the household is told.

    Raises NotReinstatable.
    """
    held = _standing(promise)
    suspended = held.changes.filter(kind="suspended").first()
    if held.state != "suspended" or suspended is None:
        raise NotReinstatable(f"{held.number} is not suspended.")
    since = suspended.at.astimezone(held.home.tz).date()
    if check.home_id != held.home_id or check.done_on is None or check.done_on < since:
        raise NotReinstatable(f"It needs a check at this home, made since {date_format(since)}.")
    for plant in held.home.plants.filter(removed_on=None):
        if _still_touches(plant):
            raise NotReinstatable(f"By its last reading {plant.name} touches still: note the cut.")
    held.state = "in-force"
    held.save()
    reason = f"Check of {date_format(check.done_on)}."
    change = held.changes.create(at=at, kind="reinstated", by=by, reason=reason)
    _tell(held, change, at)
    promise.refresh_from_db()


@transaction.atomic
def end(*, promise: Promise, on: date, reason: str, by: User | None, at: datetime) -> None:
    """End it for good, and what was on its way with it; the household is told why.

    Raises PromiseEnded where it has ended, Refused without a reason or for a day to come.
    """
    held = _standing(promise)
    if not reason.strip():
        raise Refused("Say why it ends: the household will ask.")
    if on < held.starts_on:
        raise Refused(f"It cannot end before it began on {date_format(held.starts_on)}.")
    if on > at.astimezone(held.home.tz).date():
        raise Refused("It cannot end on a day to come: until then it is in force.")
    held.state, held.ended_on = "ended", on
    held.save()
    change = held.changes.create(at=at, kind="ended", by=by, reason=reason.strip()[:500])
    for transfer in held.transfers.open():
        transfer.call_off(at)
    _tell(held, change, at, on=on.isoformat(), why=change.reason)
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


def is_outdated(promise: Promise, *, before: datetime | None = None) -> bool:
    """Whether its certificate would say something else today; or was issued before that moment.

    None issued is none outdated: the first one comes with the handing over. Up to twelve queries.
    """
    current = promise.certificates.current().first()
    if current is None:
        return False
    if before is not None:
        return current.issued_at < before
    today = certificate_record(promise=promise, edition=current.edition, at=current.issued_at)
    return bool(today != current.record)


def tellings_unheeded(promise: Promise, plant: Plant) -> list[Telling]:
    """What its holders were told of a plant since it last stood clear, two weeks apart.

    Four queries.
    """
    clear_on = last_clear(readings_of(plant), Length(plant.needs_mm))
    tz = plant.home.tz
    told = tellings(promise, plant)
    return _apart(
        each for each in told if clear_on is None or each.at.astimezone(tz).date() > clear_on
    )


def _apart(told: Iterable[Telling]) -> list[Telling]:
    kept: list[Telling] = []
    for each in told:
        if not kept or each.at - kept[-1].at >= BETWEEN_NOTICES:
            kept.append(each)
    return kept


def _still_touches(plant: Plant, *, since: date | None = None) -> bool:
    """Whether it touched when it was last looked at, on that day or later, and was left so."""
    last = next(reversed(readings_of(plant)), None)
    if last is None or last.clear is None or last.cut_to is not None:
        return False
    return not last.clear.mm and (since is None or last.on >= since)


def _tell(promise: Promise, change: PromiseChange, at: datetime, **facts: object) -> None:
    """Tell each household that holds it and the home what became of the promise."""
    for household in holders(promise):
        kind = TOLD_AS[change.kind]
        notice = Notice(
            household=household,
            home=promise.home,
            kind=kind,
            occasion=f"{kind}:{change.pk}:{household.pk}",
            facts={"promise": promise.number, **facts},
        )
        noticing.plan(notice, at)


def _standing(promise: Promise) -> Promise:
    held = Promise.objects.select_for_update().select_related("terms", "home").get(pk=promise.pk)
    if held.state == "ended":
        day = date_format(held.ended_on) if held.ended_on else ""
        raise PromiseEnded(f"{held.number} ended on {day}.")
    return held
