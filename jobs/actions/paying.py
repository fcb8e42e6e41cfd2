"""Money that a household pays or gets back."""

from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from jobs.models import Job, Offer, Payment
from jobs.pricing import balance_due
from jobs.signals import payment_recorded
from shared.firm import money_said
from shared.money import rounded
from shared.refusals import Refused


class NotPayable(Refused):
    """The payment makes no sense as entered."""


@transaction.atomic
def record_payment(*, job: Job, payment: Payment, at: datetime) -> Payment:
    """Keep a payment for the job, entered with an amount above zero; a refund is kept below zero.

    `at` is when it is entered, which may be days after the payment came.

    Refuses what nobody owes, gives back or can have paid yet, and the same entry a second time.
    """
    Job.objects.select_for_update().get(pk=job.pk)
    payment.job = job
    _check_amount(payment, at.astimezone(job.home.tz).date())
    if payment.kind == "refund":
        _check_refund(payment)
        payment.amount = -payment.amount
    else:
        _check_due(payment)
    _check_new(payment)
    payment.save()
    payment_recorded.send(sender=Payment, payment=payment, at=at)
    return payment


def due(job: Job) -> Decimal:
    """What the household still owes; below zero where we hold too much. Up to three queries."""
    return due_of(job, job.offers.filter(state="agreed").first(), job.payments.all())


def due_of(job: Job, agreed: Offer | None, payments: Iterable[Payment]) -> Decimal:
    """The same from rows at hand. Nobody owes anything for a cancelled job: it is all theirs."""
    total = agreed.totals().total if agreed and job.stage != "cancelled" else Decimal(0)
    return balance_due(total, (payment.amount for payment in payments))


def held(job: Job) -> Decimal:
    """What the household has paid, less what it got back. One query."""
    return -balance_due(Decimal(0), (payment.amount for payment in job.payments.all()))


def _check_amount(payment: Payment, today: date) -> None:
    if payment.amount <= 0:
        raise NotPayable("Enter an amount above nothing; a refund too.")
    if rounded(payment.amount) != payment.amount:
        raise NotPayable("Enter whole cents.")
    if payment.received_on > today:
        raise NotPayable("That day has not come yet.")


def _check_due(payment: Payment) -> None:
    if not payment.job.offers.filter(state="agreed").exists():
        raise NotPayable(f"Job {payment.job.number} has no agreed offer yet.")
    owed = due(payment.job)
    if payment.amount > owed:
        raise NotPayable(f"That is more than is due: {money_said(max(owed, Decimal(0)))}.")


def _check_refund(payment: Payment) -> None:
    paid = held(payment.job)
    if payment.amount > paid:
        raise NotPayable(f"That is more than was paid: {money_said(paid)}.")


def _check_new(payment: Payment) -> None:
    """Refuse what stands there already: a second click, a slip."""
    same = payment.job.payments.filter(
        kind=payment.kind, way=payment.way, reference=payment.reference, amount=payment.amount
    )
    if payment.reference and same.exists():
        raise NotPayable(f"A payment “{payment.reference}” of that amount is kept already.")
    if same.filter(received_on=payment.received_on).exists():
        raise NotPayable("The same of that day is kept already: give a second one a number.")
