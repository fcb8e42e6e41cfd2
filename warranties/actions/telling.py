"""Notices of what jobs reports: an offer, a payment, what is still to be paid, a visit made."""

from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from jobs.actions.paying import due
from jobs.models import Booking, Job, Offer, Payment
from warranties.actions.noticing import plan
from warranties.models import Notice

FRESH = timedelta(days=30)  # A payment that was entered later than that asks for no receipt.
WRITTEN_UP = timedelta(hours=1)  # So long a crew has to note what it found, or to take it back.
TOO_SLOW = "letter"


@transaction.atomic
def tell_of_offer(*, offer: Offer, at: datetime) -> Notice | None:
    """Plan to send the household its offer. None where no channel may be used."""
    facts = {
        "offer": offer.number,
        "job": offer.job.number,
        "total": str(offer.totals().total),
    }
    return plan(_of_job(offer.job, "offer", offer.pk, facts, due_on=offer.valid_until), at)


@transaction.atomic
def tell_of_payment(*, payment: Payment, at: datetime) -> Notice | None:
    """Plan a receipt. None for what is paid back, was paid long ago, or where none may be sent."""
    today = at.astimezone(payment.job.home.tz).date()
    if payment.amount <= 0 or payment.received_on < today - FRESH:
        return None
    facts = {
        "job": payment.job.number,
        "payment": payment.pk,
        "amount": str(payment.amount),
        "on": payment.received_on.isoformat(),
    }
    return plan(_of_job(payment.job, "receipt", payment.pk, facts), at)


@transaction.atomic
def tell_of_balance(*, job: Job, at: datetime) -> Notice | None:
    """Plan to say what is still to be paid once a job is handed over. None where nothing is."""
    if due(job) <= 0:
        return None
    return plan(_of_job(job, "balance", job.pk, {"job": job.number}), at)


def _of_job(job: Job, kind: str, key: int, facts: dict[str, Any], **fields: object) -> Notice:
    return Notice(
        household=job.household,
        home=job.home,
        kind=kind,
        occasion=f"{kind}:{key}",
        facts=facts,
        **fields,
    )


@transaction.atomic
def tell_of_visit_made(*, booking: Booking, at: datetime) -> Notice | None:
    """Plan to report a check or a callback an hour after it, once."""
    household = booking.household
    if household is None or booking.purpose not in {"check", "callback"}:
        return None
    return _of_visit(booking, "visit-report", at + WRITTEN_UP)


@transaction.atomic
def tell_on_the_way(*, booking: Booking, at: datetime) -> Notice | None:
    """Plan to say at once that the crew set out; a letter would come too late. Once a visit."""
    return _of_visit(booking, "visit-on-the-way", at, tried=TOO_SLOW)


def _of_visit(booking: Booking, kind: str, at: datetime, tried: str = "") -> Notice | None:
    household, occasion = booking.household, f"{kind}:{booking.pk}"
    if household is None or Notice.objects.filter(occasion=occasion).exists():
        return None
    new = Notice(
        household=household,
        home=booking.home,
        booking=booking,
        kind=kind,
        occasion=occasion,
        tried=tried,
    )
    return plan(new, at)
