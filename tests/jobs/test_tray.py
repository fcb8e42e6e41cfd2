from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from jobs import tray
from jobs.models import Job, Payment
from jobs.tray import Waiting, ago, next_step, waiting, waiting_jobs, waiting_money
from tests.factories import NOON, TODAY, make_booking, make_home, make_job, make_offer

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def job_at(stage: str, **fields: Any) -> Job:
    return make_job(home=make_home(street="14 Juniper Bend"), stage=stage, **fields)


def sentence(job: Job, now: datetime = NOON) -> str:
    step = next_step(job, now)
    return f"{step.text}: {step.verb}" if step else ""


def visit(job: Job, purpose: str, start: datetime, **fields: Any) -> None:
    make_booking(
        home=job.home,
        job=job,
        purpose=purpose,
        starts_at=start,
        ends_at=start + timedelta(hours=1),
        **fields,
    )


def test_asked() -> None:
    assert sentence(job_at("asked")) == "14 Juniper Bend asked today: book the measuring"


def test_asked_with_a_visit_to_come_waits_for_nobody() -> None:
    job = job_at("asked")
    visit(job, "measure", NOON + DAY)

    assert sentence(job) == ""
    assert (
        sentence(job, NOON + 2 * DAY) == "14 Juniper Bend was to be measured yesterday: record it"
    )


def test_a_cancelled_visit_counts_for_nothing() -> None:
    job = job_at("asked")
    visit(job, "measure", NOON + DAY, cancelled_at=NOON)

    assert sentence(job).endswith("book the measuring")


def test_measured() -> None:
    job = job_at("measured", measured_on=TODAY - 3 * DAY)

    assert sentence(job) == "14 Juniper Bend was measured 3 days ago: make the offer"
    make_offer(job=job)
    assert sentence(job) == "The offer for 14 Juniper Bend is a draft: send it"


def test_priced() -> None:
    job = job_at("priced")
    offer = make_offer(job=job, state="sent")

    assert sentence(job) == ""
    assert sentence(job, NOON + 7 * DAY) == (
        "The offer for 14 Juniper Bend of 2 March has no answer: ask them"
    )
    assert sentence(job, NOON + 31 * DAY) == (
        "The offer for 14 Juniper Bend ended yesterday: replace it"
    )
    offer.state = "declined"
    offer.save()
    assert sentence(job) == "14 Juniper Bend declined the offer: make another or close the job"


def test_agreed_and_booked() -> None:
    job = job_at("agreed", agreed_on=TODAY - DAY)

    assert sentence(job) == "The offer for 14 Juniper Bend was agreed yesterday: book it"
    job.stage = "booked"
    visit(job, "fitting", NOON + DAY)
    assert sentence(job) == ""
    assert sentence(job, NOON + 3 * DAY) == (
        "14 Juniper Bend was to be fitted 2 days ago: ask the crew or move the visit"
    )


def test_fitted_and_proved() -> None:
    job = job_at("fitted", fitted_on=TODAY)

    assert sentence(job) == "14 Juniper Bend was fitted today and has no proof: look at the job"
    job.stage = "proved"
    assert sentence(job) == (
        "14 Juniper Bend, fitted today, is proved: ask the crew to hand it over"
    )


@pytest.mark.parametrize("stage", ["handed-over", "declined", "cancelled"])
def test_ended_jobs_have_no_next_step(stage: str) -> None:
    assert sentence(job_at(stage)) == ""


@pytest.mark.parametrize(
    ("days", "word"),
    [(0, "today"), (1, "yesterday"), (14, "14 days ago"), (15, "on 15 February 2026")],
)
def test_ago(days: int, word: str) -> None:
    assert ago(TODAY - days * DAY, TODAY) == word


def test_money_owed_to_the_cent() -> None:
    job = job_at("handed-over", fitted_on=TODAY, handed_over_on=TODAY - 7 * DAY)
    make_offer(job=job, state="agreed", agreed_at=NOON, tax_rate=Decimal("0.0725"))
    paid_up = make_job(stage="handed-over", fitted_on=TODAY, handed_over_on=TODAY)
    make_offer(job=paid_up, state="agreed", agreed_at=NOON, tax_rate=Decimal("0.0725"))
    for each, amount in ((job, "4214.92"), (paid_up, "4214.93")):
        Payment.objects.create(
            job=each, kind="balance", way="card", amount=Decimal(amount), received_on=TODAY
        )

    Job.objects.recount()

    (step,) = waiting_money(NOON)

    assert step.text == "14 Juniper Bend was handed over 7 days ago and owes $0.01"
    assert (step.verb, step.overdue) == ("ask for it", True)


def test_money_of_imported_jobs_was_settled_elsewhere() -> None:
    job = job_at("handed-over", fitted_on=TODAY, handed_over_on=TODAY, source="import")
    make_offer(job=job, state="agreed", agreed_at=NOON)
    Job.objects.recount()

    assert waiting_money(NOON) == []


def test_money_that_is_theirs_again() -> None:
    job = job_at("cancelled", closed_on=date(2026, 11, 30))
    Payment.objects.create(job=job, kind="deposit", way="card", amount=1200, received_on=TODAY)

    (step,) = waiting_money(datetime(2026, 12, 1, 12, tzinfo=NOON.tzinfo))

    assert step.text == "14 Juniper Bend called off: $1,200.00 is theirs by 11 December"


def test_late_first_then_the_oldest(monkeypatch: pytest.MonkeyPatch) -> None:
    young, old, late = (
        Waiting("young", "go", "/", TODAY),
        Waiting("old", "go", "/", TODAY - DAY),
        Waiting("late", "go", "/", TODAY, overdue=True),
    )
    monkeypatch.setattr(tray, "_sources", [lambda _now: [young, old], lambda _now: [late]])

    assert waiting(NOON) == [late, old, young]


def test_a_source_registers_once(monkeypatch: pytest.MonkeyPatch) -> None:
    sources: list[tray.Source] = []
    monkeypatch.setattr(tray, "_sources", sources)

    tray.register(waiting_jobs)
    tray.register(waiting_jobs)

    assert sources == [waiting_jobs]


def test_page_links_the_verb(office: Client) -> None:
    job = job_at("asked")

    page = office.get(reverse("tray")).content.decode()

    assert f'<a href="/diary/?job={job.number}#book">book the measuring</a>' in page


def test_empty_tray_says_done(office: Client) -> None:
    assert "Nothing waits for a hand." in office.get(reverse("tray")).content.decode()


def test_number_of_queries_does_not_grow(
    office: Client, django_assert_max_num_queries: Callable[..., Any]
) -> None:
    for _ in range(4):
        for stage in ("asked", "measured", "priced", "agreed", "booked", "fitted", "proved"):
            job = make_job(stage=stage)
            make_offer(job=job, state="sent")
            make_booking(home=job.home, job=job)

    with django_assert_max_num_queries(13):  # session, user, rights; three of jobs, two of money
        page = office.get(reverse("tray")).content.decode()

    assert page.count("<li>") > 15
