from datetime import date, timedelta
from decimal import Decimal

import pytest

from jobs.actions import paying
from jobs.actions.paying import NotPayable
from jobs.models import Job, Payment
from tests.factories import NOON, TODAY, make_job, make_offer

pytestmark = pytest.mark.django_db


def agreed_job() -> Job:
    """A job agreed for 3,930.00."""
    job = make_job(stage="agreed")
    make_offer(job=job, state="agreed", agreed_at=NOON)
    return job


def pay(
    job: Job, amount: str, *, kind: str = "deposit", on: date = TODAY, ref: str = ""
) -> Payment:
    payment = Payment(kind=kind, way="check", amount=Decimal(amount), received_on=on, reference=ref)
    return paying.record_payment(job=job, payment=payment, at=NOON)


def test_deposit_then_balance_leave_nothing_due() -> None:
    job = agreed_job()

    pay(job, "1000.00")
    pay(job, "2930.00", kind="balance")

    assert paying.due(job) == 0
    assert paying.held(job) == Decimal("3930.00")


def test_refund_is_kept_below_zero_and_is_due_again() -> None:
    job = agreed_job()
    pay(job, "1000.00")

    refund = pay(job, "250.50", kind="refund")

    assert refund.amount == Decimal("-250.50")
    assert paying.due(job) == Decimal("3180.50")


def test_a_cancelled_job_owes_the_household_what_it_paid() -> None:
    job = agreed_job()
    pay(job, "1000.00")

    Job.objects.filter(pk=job.pk).update(stage="cancelled")
    job.refresh_from_db()

    assert paying.due(job) == Decimal("-1000.00")


@pytest.mark.parametrize(
    ("amount", "kind", "days", "reason"),
    [
        ("0", "deposit", 0, "above nothing"),
        ("-5", "refund", 0, "above nothing"),
        ("0.001", "deposit", 0, "whole cents"),
        ("10", "deposit", 1, "not come yet"),
        ("3930.01", "balance", 0, r"more than is due: \$3,930.00"),
        ("0.01", "refund", 0, r"more than was paid: \$0.00"),
    ],
)
def test_refuses_nonsense(amount: str, kind: str, days: int, reason: str) -> None:
    job = agreed_job()

    with pytest.raises(NotPayable, match=reason):
        pay(job, amount, kind=kind, on=TODAY + timedelta(days=days))

    assert not job.payments.exists()


def test_refuses_a_job_without_an_agreement() -> None:
    with pytest.raises(NotPayable, match="no agreed offer"):
        pay(make_job(stage="priced"), "10")


def test_refuses_the_same_check_twice() -> None:
    job = agreed_job()
    pay(job, "100", ref="1187")

    with pytest.raises(NotPayable, match="kept already"):
        pay(job, "100", ref="1187")

    assert job.payments.count() == 1


def test_refuses_the_same_cash_of_a_day_twice_unless_it_has_a_number() -> None:
    job = agreed_job()
    pay(job, "100")

    with pytest.raises(NotPayable, match="give a second one a number"):
        pay(job, "100")
    pay(job, "100", on=TODAY - timedelta(days=1))
    pay(job, "100", ref="2")

    assert job.payments.count() == 3


def test_payment_has_its_history() -> None:
    payment = pay(agreed_job(), "100")

    assert payment.history.count() == 1
