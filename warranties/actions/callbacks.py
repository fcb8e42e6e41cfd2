"""The household says that the promise is not kept: reported, looked at, decided, closed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from customers.actions import add_photo
from jobs.models import FittedDetail, Job
from shared.models import Counter, User
from shared.photos import CleanPhoto
from shared.refusals import Refused
from warranties.decision import CHARGEABLE
from warranties.models import Callback, Promise
from warranties.proposing import proposal_for


class NotReportable(Refused):
    """No callback can be taken on this promise. The message is fit to show a person."""


class NotDecidable(Refused):
    """The decision cannot stand as it is. The message is fit to show a person."""


class CallbackClosed(Refused):
    """The callback is closed. The message is fit to show a person."""


class NoJobBehind(Refused):
    """There is no job to book a cost on. The message is fit to show a person."""


@dataclass(frozen=True, kw_only=True)
class Findings:
    """What the tech found: where, what, why, and what was done about it.

    `detail` is the one whose seal opened, where somebody can tell. `called_before` and
    `damaged_by_others` are None where nobody asked.
    """

    findings: str
    place: str = ""
    detail: FittedDetail | None = None
    cause: str = ""
    remedy: str = ""
    called_before: bool | None = None
    damaged_by_others: bool | None = None
    shown_how: str = ""


@transaction.atomic
def log_callback(
    *,
    promise: Promise,
    report: str,
    stung: bool = False,
    price_agreed: Decimal | None = None,
    at: datetime,
) -> Callback:
    """Take the household's report. Raises NotReportable where the promise has ended."""
    if promise.ended_on:
        raise NotReportable(
            _("Promise {number} ended on {day}.").format(
                number=promise.number, day=date_format(promise.ended_on)
            )
        )
    if not report.strip():
        raise NotReportable(_("Write down what the household says, in their words."))
    year = at.astimezone(promise.home.tz).year
    return Callback.objects.create(
        promise=promise,
        number=f"CB-{year}-{Counter.objects.take(f'callbacks {year}'):04d}",
        reported_at=at,
        report=report.strip(),
        stung=stung,
        price_agreed=price_agreed or None,
    )


@transaction.atomic
def agree_price(*, callback: Callback, price: Decimal) -> None:
    """Note the price of the visit that the household agreed to, 0 for none after all.

    Raises NotDecidable once somebody has been there: then it was not told beforehand.
    """
    held = _open(callback)
    if held.found_at:
        raise NotDecidable(_("Somebody was there already: a price is agreed before the visit."))
    held.price_agreed = price or None
    held.save()
    callback.refresh_from_db()


@transaction.atomic
def record_findings(
    *,
    callback: Callback,
    found: Findings,
    photographs: Sequence[CleanPhoto],
    by: User,
    at: datetime,
) -> None:
    """Keep what was found; again to add or correct, until it is closed.

    Raises CallbackClosed or NotDecidable; then nothing is kept.
    """
    held = _open(callback)
    if not found.findings.strip():
        raise NotDecidable(_("Write down what was found, even if it is nothing."))
    if held.decision and not found.cause:
        raise NotDecidable(_("{number} is decided: it keeps a cause.").format(number=held.number))
    if found.detail and found.detail.job.home_id != held.promise.home_id:
        raise NotDecidable(_("{detail} is at another home.").format(detail=found.detail))
    held.findings = found.findings.strip()
    held.place = found.place.strip()
    held.detail = found.detail
    held.cause = found.cause
    held.remedy = found.remedy.strip()
    held.called_before = found.called_before
    held.damaged_by_others = found.damaged_by_others
    held.shown_how = found.shown_how.strip()
    held.found_at = held.found_at or at
    held.save()
    for number, each in enumerate(photographs, start=held.photos.count() + 1):
        caption = f"Callback {held.number}, {number}"
        held.photos.add(add_photo(home=held.promise.home, clean=each, caption=caption, by=by))
    callback.refresh_from_db()


@transaction.atomic
def decide(*, callback: Callback, decision: str, reason: str, by: User, at: datetime) -> None:
    """Decide who pays, and why; what the terms proposed is kept beside it.

    Raises NotDecidable without findings, a cause and a reason, and where it would charge on a
    ground that the household was not told of or that the terms do not have.
    """
    held = _open(callback)
    if not held.findings or not held.cause:
        raise NotDecidable(_("First write down what was found and name its cause."))
    if not decision or not reason.strip():
        raise NotDecidable(_("A decision needs its reason: the household will ask for it."))
    proposal = proposal_for(held)
    if decision == CHARGEABLE and proposal.bar:
        raise NotDecidable(_("It may not be charged. {why}").format(why=proposal.bar.said(_)))
    held.proposed, held.proposed_by = proposal.decision, proposal.clause
    held.decision = decision
    held.reason = reason.strip()
    held.decided_at = at
    held.decided_by = by
    held.save()
    callback.refresh_from_db()


@transaction.atomic
def close(*, callback: Callback, at: datetime) -> None:
    """Close it. Raises NotDecidable without a decision and a remedy."""
    held = _open(callback)
    if not held.decision:
        raise NotDecidable(_("It is not decided yet: covered, courtesy or chargeable."))
    if not held.remedy:
        raise NotDecidable(_("Write down what was done about it, even if it was nothing."))
    held.closed_at = at
    held.save()
    callback.refresh_from_db()


def job_of(callback: Callback) -> Job:
    """Return the job that a callback's costs go to: the promise's own, else the home's newest.

    A query or two. Raises NoJobBehind where the home has none.
    """
    promise = callback.promise
    job = promise.job or Job.objects.earning().filter(home=promise.home).order_by("-pk").first()
    if job is None:
        raise NoJobBehind(_("This promise came without a job, so no cost can be booked on one."))
    return job


def _open(callback: Callback) -> Callback:
    held = Callback.objects.select_for_update().get(pk=callback.pk)
    if held.closed_at is not None:
        raise CallbackClosed(
            _("{number} is closed: nothing in it changes any more.").format(number=held.number)
        )
    return held
