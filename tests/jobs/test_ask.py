from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from customers.models import Home
from jobs.actions import asking, booking
from jobs.models import Job
from tests.customers.plan.houses import house
from tests.factories import (
    NOON,
    TODAY,
    make_booking,
    make_crew,
    make_home,
    make_job,
    make_offer,
    make_plan,
)

pytestmark = pytest.mark.django_db


def ask(on: date = TODAY, *, home: Home | None = None, wish: str = "Scorpions.") -> Job:
    home = home or make_home()
    household = home.household()
    assert household is not None
    return asking.ask(
        home=home, household=household, kind="fitting", source="web", on=on, wish=wish
    )


def test_numbers_run_within_the_year() -> None:
    numbers = [ask(date(2026, 12, 31)).number, ask(date(2026, 12, 31)).number]

    assert numbers == ["2026-0001", "2026-0002"]
    assert ask(date(2027, 1, 1)).number == "2027-0001"


def test_asked_job_keeps_what_was_said() -> None:
    job = ask()

    assert (job.stage, job.asked_on, job.source, job.wish) == ("asked", TODAY, "web", "Scorpions.")


def test_the_same_enquiry_twice_a_day_is_one_job() -> None:
    job = ask()

    with pytest.raises(asking.NotOnThisStage, match=job.number):
        ask(home=job.home)
    ask(home=job.home, wish="The garage too.")

    assert Job.objects.count() == 2


def test_measure_once_and_not_before_it_was_asked() -> None:
    job = ask()

    with pytest.raises(asking.NotOnThisStage, match="not before"):
        asking.measure(job=job, on=TODAY - timedelta(days=1))
    asking.measure(job=job, on=TODAY)
    with pytest.raises(asking.NotOnThisStage, match="is measured"):
        asking.measure(job=job, on=TODAY)

    assert (job.stage, job.measured_on) == ("measured", TODAY)


def test_decline_takes_the_open_offer_and_the_visit_along() -> None:
    job = make_job(stage="priced")
    offer = make_offer(job=job, state="sent")
    visit = booking.book(
        crew=make_crew(),
        home=job.home,
        job=job,
        purpose="measure",
        starts_at=NOON,
        ends_at=NOON + timedelta(hours=1),
        at=NOON - timedelta(days=1),
    )

    asking.decline(job=job, reason="too dear", at=NOON)

    offer.refresh_from_db()
    visit.refresh_from_db()
    assert (job.stage, job.closed_on, job.closed_reason) == ("declined", TODAY, "too dear")
    assert offer.state == "declined"
    assert visit.cancelled_at == NOON
    assert job.history.count() == 2  # made, declined


def test_decline_refuses_an_agreed_job() -> None:
    job = make_job(stage="agreed")

    with pytest.raises(asking.NotOnThisStage, match="without an agreement"):
        asking.decline(job=job, reason="", at=NOON)


def test_cancel_closes_an_agreed_job_on_the_homes_day() -> None:
    job = make_job(stage="agreed")

    asking.cancel(
        job=job,
        reason="moving away",
        at=datetime(2026, 3, 2, 23, tzinfo=ZoneInfo("America/Phoenix")),
    )

    assert (job.stage, job.closed_on) == ("cancelled", date(2026, 3, 2))


def test_cancel_refuses_a_fitted_job_and_leaves_its_visits() -> None:
    job = make_job(stage="fitted")
    visit = make_booking(home=job.home, job=job)

    with pytest.raises(asking.NotOnThisStage, match="fitted"):
        asking.cancel(job=job, reason="", at=NOON)

    visit.refresh_from_db()
    assert visit.cancelled_at is None


def test_measuring_closes_the_plan_as_surveyed() -> None:
    job = make_job()
    plan = make_plan(home=job.home, document=house())

    asking.measure(job=job, on=TODAY)

    plan.refresh_from_db()
    assert plan.closed_on == TODAY
