import pytest

from jobs.actions.fitting import NotFittable, finish_fitting
from tests.factories import NOON, TODAY, make_fitted_detail, make_job

pytestmark = pytest.mark.django_db


def test_the_job_is_fitted_that_day() -> None:
    job = make_job(stage="booked")
    make_fitted_detail(job=job)

    finish_fitting(job=job, on=TODAY)

    assert (job.stage, job.fitted_on) == ("fitted", TODAY)
    assert job.history.count() == 2


def test_a_check_leaves_no_details_behind() -> None:
    job = make_job(stage="booked", kind="check")

    finish_fitting(job=job, on=NOON.date())

    assert job.stage == "fitted"


def test_refuses_a_fitting_of_nothing() -> None:
    with pytest.raises(NotFittable, match="Nothing is marked"):
        finish_fitting(job=make_job(stage="booked"), on=TODAY)


def test_refuses_to_finish_twice() -> None:
    job = make_job(stage="fitted", fitted_on=TODAY)
    make_fitted_detail(job=job)

    with pytest.raises(NotFittable, match="finished already"):
        finish_fitting(job=job, on=NOON.date())


def test_refuses_before_the_household_agreed() -> None:
    with pytest.raises(NotFittable, match="priced"):
        finish_fitting(job=make_job(stage="priced"), on=TODAY)
