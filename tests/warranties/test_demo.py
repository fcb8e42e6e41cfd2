"""The demo: every stage of a job, promises that hold, money that adds up, nothing burst out."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command
from django.db.models import Sum

from customers.models import Home
from customers.plan.contacts import check_plan
from customers.plan.document import PlanDocument
from jobs.actions.recounting import drift
from jobs.models import Cost, Job
from jobs.models.job import stages
from tests.factories import make_home
from warranties.demo import play
from warranties.models import Callback, Certificate, Notice, Promise, Reading, Transfer
from warranties.notices.failing import unreachable

NOW = datetime(2026, 3, 2, 19, 0, tzinfo=UTC)


@pytest.mark.long(10)
@pytest.mark.django_db
def test_plays_two_years_through_every_stage() -> None:
    play(now=NOW, homes=26)

    assert Home.objects.count() == 26
    assert set(Job.objects.values_list("stage", flat=True)) == {code for code, _ in stages()}
    promises = Promise.objects.all()
    assert (
        promises.count()
        == Certificate.objects.current().count() + Job.objects.filter(stage="proved").count()
    )
    proofs = [promise.job.proof.plan for promise in promises if promise.job]
    assert all(check_plan(PlanDocument.from_json(plan)).closed for plan in proofs)
    assert Reading.objects.count() > promises.count()
    assert set(Callback.objects.values_list("decision", flat=True)) == {
        "courtesy",
        "covered",
        "chargeable",
    }
    told = Notice.objects.filter(kind="trim-back")
    assert {"", "done", "help"} == set(told.values_list("answer", flat=True))
    late = Notice.objects.filter(state="planned", channel__in=("mail", "text"), send_at__lt=NOW)
    assert not late.exists()
    assert {"in-force", "ended"} <= set(promises.values_list("state", flat=True))
    assert Transfer.objects.exclude(done_at=None).count() == 1
    assert unreachable().count() == 1
    cost = Cost.objects.aggregate(all=Sum("amount"))["all"]
    counted = sum(
        job.materials + job.labour + job.other_cost + job.promise_cost for job in Job.objects.all()
    )
    assert cost.quantize(Decimal("0.01")) == counted
    assert drift() == []


@pytest.mark.django_db
def test_refuses_an_installation_that_has_homes() -> None:
    make_home()

    with pytest.raises(CommandError, match="for an empty one"):
        call_command("load_demo")
