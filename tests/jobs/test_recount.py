from datetime import date
from decimal import Decimal

import pytest

from jobs.actions import showing
from jobs.actions.offering import Agreement, agree
from jobs.models import Cost, Job
from tests.factories import NOON, make_job, make_offer

pytestmark = pytest.mark.django_db


def add_cost(job: Job, kind: str, amount: str, reason: str = "fitting") -> None:
    Cost.objects.create(
        job=job,
        kind=kind,
        reason=reason,
        text=kind,
        quantity=1,
        unit_cost=Decimal(amount),
        amount=Decimal(amount),
        on=date(2026, 3, 2),
    )


def test_counts_the_agreed_offer_and_every_cost() -> None:
    job = make_job()
    make_offer(job=job, state="agreed", agreed_at=NOON)
    make_offer(job=job, state="replaced")
    for kind, amount in (("material", "10.10"), ("material", "0.07"), ("labour", "76.00")):
        add_cost(job, kind, amount)
    add_cost(job, "other", "5.55")
    add_cost(job, "labour", "19.00", reason="promise")

    Job.objects.filter(pk=job.pk).recount()

    job.refresh_from_db()
    assert job.revenue == Decimal("3930.00")
    assert job.materials == Decimal("10.17")
    assert job.labour == Decimal("76.00")
    assert job.other_cost == Decimal("5.55")
    assert job.promise_cost == Decimal("19.00")


def test_counts_nothing_as_zero() -> None:
    job = make_job()

    Job.objects.filter(pk=job.pk).recount()

    job.refresh_from_db()
    assert job.revenue == job.materials == job.promise_cost == Decimal(0)


def test_agreeing_counts_the_revenue() -> None:
    offer = make_offer()

    code = showing.show(offer=offer, at=NOON).code
    agree(offer=offer, agreement=Agreement(by="Ada Quill", how="office", at=NOON, code=code))

    offer.job.refresh_from_db()
    assert offer.job.revenue == Decimal("3930.00")
