from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from customers.models import Home, Household
from jobs.models import Job, Payment
from tests.factories import NOON, TODAY, make_booking, make_home, make_job, make_offer

pytestmark = pytest.mark.django_db
ENQUIRY = {
    "job-kind": "fitting",
    "job-source": "web",
    "job-wish": "Two in the bath.",
    "household-name": "Ada Quill",
    "household-phone": "602-555-0123",
    "household-mail": "ada@example.com",
    "household-language": "es",
    "home-street": "14 Juniper Bend",
    "home-city": "Mesquite Flat",
    "home-region": "AZ",
    "home-postal_code": "85000",
    "home-country": "US",
    "home-zone": "America/Phoenix",
    "consent-mail": "on",
    "consent-how": "told us by phone",
}


@pytest.fixture(autouse=True)
def noon() -> Any:
    with time_machine.travel(NOON, tick=False):
        yield


def test_enquiry_enters_household_home_consent_and_job(office: Client) -> None:
    response = office.post(reverse("job-new"), ENQUIRY)

    job = Job.objects.get()
    assert response["Location"] == "/jobs/2026-0001/"
    assert (job.source, job.wish, job.asked_on) == ("web", "Two in the bath.", TODAY)
    assert str(job.household.phone) == "+16025550123"
    assert job.household.language == "es"
    assert job.home.household() == job.household
    assert list(job.household.consents.filter(given=True).values_list("channel", flat=True)) == [
        "mail"
    ]


def test_enquiry_of_a_known_address_leads_to_that_home(office: Client) -> None:
    office.post(reverse("job-new"), ENQUIRY)
    home = Home.objects.get()

    response = office.post(reverse("job-new"), {**ENQUIRY, "household-name": "Somebody else"})

    page = response.content.decode()
    assert response.status_code == 422
    assert f"/jobs/new/?home={home.pk}" in page
    assert "Somebody else" in page
    assert (Household.objects.count(), Job.objects.count()) == (1, 1)


def test_enquiry_with_a_mistake_keeps_what_was_typed(office: Client) -> None:
    response = office.post(reverse("job-new"), {**ENQUIRY, "household-phone": "602-555-01"})

    assert response.status_code == 422
    assert "602-555-01" in response.content.decode()
    assert not Household.objects.exists()


def test_job_for_a_known_home(office: Client) -> None:
    home = make_home()
    form = {"job-kind": "repair", "job-source": "other", "job-wish": ""}

    office.post(f"{reverse('job-new')}?home={home.pk}", form)

    job = Job.objects.get()
    assert (job.home, job.household, job.kind) == (home, home.household(), "repair")


@pytest.mark.parametrize("key", ["999999", "x", "²"])
def test_job_for_a_home_that_is_not_there(office: Client, key: str) -> None:
    assert office.get(reverse("job-new"), {"home": key}).status_code == 404


def test_job_page_has_one_primary_action(office: Client) -> None:
    for stage, words in (
        ("asked", "Book the measuring"),
        ("measured", "Make an offer"),
        ("agreed", "Book the fitting"),
    ):
        page = office.get(make_job(stage=stage).get_absolute_url()).content.decode()

        assert page.count('class="button primary"') + page.count('class="primary"') == 1, stage
        assert words in page


def test_measured_is_recorded(office: Client) -> None:
    job = make_job()

    refused = office.post(reverse("job-measured", args=[job.number]), {"on": "2026-03-01"})
    office.post(reverse("job-measured", args=[job.number]), {"on": "2026-03-02"})

    job.refresh_from_db()
    assert refused.status_code == 422
    assert "asked on 2 March 2026, not before" in refused.content.decode()
    assert job.stage == "measured"


def test_close_declines_or_cancels(office: Client) -> None:
    early, late, done = make_job(), make_job(stage="agreed"), make_job(stage="fitted")

    for job in (early, late):
        office.post(reverse("job-close", args=[job.number]), {"reason": "moving"})
        job.refresh_from_db()
    refused = office.post(reverse("job-close", args=[done.number]), {"reason": ""})

    assert (early.stage, late.stage) == ("declined", "cancelled")
    assert refused.status_code == 422


def test_payment_is_kept_and_has_a_receipt(office: Client) -> None:
    job = make_job(stage="agreed")
    make_offer(job=job, state="agreed", agreed_at=NOON)
    form = {"kind": "deposit", "way": "check", "amount": "1000", "received_on": "2026-03-02"}

    office.post(reverse("job-pay", args=[job.number]), {**form, "reference": "118"})
    again = office.post(reverse("job-pay", args=[job.number]), {**form, "reference": "118"})

    receipt = office.get(reverse("receipt", args=[Payment.objects.get().pk])).content.decode()
    assert again.status_code == 422
    assert "kept already" in again.content.decode()
    assert "$1,000.00" in receipt
    assert "$2,930.00" in receipt


def test_receipt_of_a_refund_shows_it_above_nothing(office: Client) -> None:
    job = make_job(stage="cancelled", closed_on=TODAY)
    payment = Payment.objects.create(
        job=job, kind="refund", way="card", amount=Decimal("-25.50"), received_on=TODAY
    )

    page = office.get(reverse("receipt", args=[payment.pk])).content.decode()

    assert "Paid back" in page
    assert "<dd>$25.50</dd>" in page


def test_home_sheet_tells_the_job_and_opens_another(office: Client) -> None:
    job = make_job(stage="agreed", agreed_on=TODAY)

    page = office.get(job.home.get_absolute_url()).content.decode()

    assert f"/jobs/new/?home={job.home.pk}" in page
    assert f"Offer of job {job.number} agreed." in page


def test_number_of_queries_of_a_job(
    office: Client, django_assert_max_num_queries: Callable[..., Any]
) -> None:
    job = make_job(stage="agreed")
    for state in ("replaced", "declined", "agreed"):
        make_offer(job=job, state=state, agreed_at=NOON)
    for n in range(5):
        make_booking(home=job.home, job=job, starts_at=NOON, ends_at=NOON + timedelta(hours=n + 1))
        Payment.objects.create(job=job, kind="deposit", way="card", amount=1, received_on=TODAY)

    with django_assert_max_num_queries(9):
        office.get(job.get_absolute_url())


def test_tech_sees_no_job_page(tech: Client) -> None:
    assert tech.get(make_job().get_absolute_url()).status_code == 403
