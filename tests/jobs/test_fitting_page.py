"""The page of one job at the home: from the first mark to the hand-over."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from jobs.models import Cost, Crew, Job
from tests.customers.plan.houses import feature, house
from tests.factories import (
    TODAY,
    make_booking,
    make_crew,
    make_fitted_detail,
    make_job,
    make_photo_file,
    make_plan,
    make_price_book,
    make_user,
)

POSTS = (
    "fitting-mark",
    "fitting-material",
    "fitting-hours",
    "fitting-finish",
    "fitting-proof",
    "fitting-hand-over",
)


@pytest.fixture
def crew(tech: Client) -> Crew:
    """The crew of the tech who is signed in."""
    crew = make_crew(hourly_cost=Decimal(40))
    crew.members.add(make_user(role="tech"))
    return crew


@pytest.fixture
def job(crew: Crew) -> Job:
    return make_job(stage="booked", crew=crew)


def url(job: Job, name: str = "fitting", *more: int) -> str:
    return reverse(name, args=[job.number, *more])


def mark_data(**fields: object) -> dict[str, object]:
    data = {"place": "Pipe by the gate", "code": "collar", "state": "sound", **fields}
    return {f"mark-{name}": value for name, value in data.items()}


def test_marks_a_detail_with_photographs(tech: Client, job: Job) -> None:
    shots = [make_photo_file(colour="green"), make_photo_file(colour="blue")]

    response = tech.post(
        url(job, "fitting-mark"), mark_data(taken=make_photo_file(), chosen=shots, lot="L-77")
    )

    assert response.status_code == 302
    detail = job.fitted_details.get()
    assert (detail.place, detail.lot, detail.fitted_by) == (
        "Pipe by the gate",
        "L-77",
        make_user(role="tech"),
    )
    assert detail.photos.count() == 3
    page = tech.get(url(job)).content.decode()
    assert page.count("?width=160") == 3
    assert 'capture="environment"' in page


def test_a_file_that_is_no_photograph_is_refused_and_what_was_typed_is_kept(
    tech: Client, job: Job
) -> None:
    data = mark_data(taken=make_photo_file(), lot="L-77")
    data["mark-chosen"] = [type(make_photo_file())("IMG_2.jpg", b"<html>")]

    response = tech.post(url(job, "fitting-mark"), data)

    assert response.status_code == 422
    page = response.content.decode()
    assert "no photograph that we can read" in page
    assert 'value="L-77"' in page
    assert not job.fitted_details.exists()
    assert not job.home.photos.exists()


def test_offers_the_places_of_the_plan_and_what_to_mind_there(tech: Client, job: Job) -> None:
    make_plan(home=job.home, document=house(feature("riser-1", "meter riser")))

    page = tech.get(url(job)).content.decode()

    assert '<option value="riser-1/house">riser 1 &gt; building</option>' in page
    assert "Nothing is fixed to a gas meter" in page
    tech.post(url(job, "fitting-mark"), mark_data(mark="riser-1/foot", place=""))
    assert job.fitted_details.get().mark == "riser-1/foot"


def test_takes_a_detail_back(tech: Client, job: Job) -> None:
    detail = make_fitted_detail(job=job)

    tech.post(url(job, "fitting-unmark", detail.pk))

    assert not job.fitted_details.exists()


def test_books_material_at_the_price_books_cost(tech: Client, job: Job) -> None:
    make_price_book()

    tech.post(
        url(job, "fitting-material"),
        {"material-item": "strip-glass", "material-quantity": "160", "material-on": "2026-03-02"},
    )

    cost = job.costs.get()
    assert (cost.amount, cost.on, cost.by) == (Decimal(1200), TODAY, make_user(role="tech"))
    job.refresh_from_db()
    assert job.materials == Decimal(1200)
    page = tech.get(url(job)).content.decode()
    assert "160 × strip-glass" in page
    assert "$1,200.00" in page


def test_books_anything_else_at_the_cost_typed(tech: Client, job: Job) -> None:
    data = {"text": "Paint", "quantity": "1.5", "unit_cost": "9.99", "on": "2026-03-02"}

    tech.post(url(job, "fitting-material"), {f"material-{k}": v for k, v in data.items()})

    assert job.costs.get().amount == Decimal("14.99")


def test_asks_what_was_used_and_what_it_cost(tech: Client, job: Job) -> None:
    response = tech.post(
        url(job, "fitting-material"), {"material-quantity": "1", "material-on": "2026-03-02"}
    )

    assert response.status_code == 422
    page = response.content.decode()
    assert "Choose what was used, or write it." in page
    assert "Write what one of it costs." in page


def test_books_hours_at_the_crews_cost_and_takes_them_back(
    tech: Client, job: Job, crew: Crew
) -> None:
    booked = {"hours-hours": "5.5", "hours-crew": crew.pk, "hours-on": "2026-03-02"}
    tech.post(url(job, "fitting-hours"), booked)
    asked = tech.post(url(job, "fitting-hours"), booked)

    job.refresh_from_db()
    assert (asked.status_code, job.labour) == (422, Decimal(220))
    assert 'name="hours-again"' in asked.content.decode()
    tech.post(url(job, "fitting-cost-back", job.costs.get().pk))
    job.refresh_from_db()
    assert job.labour == 0


def test_takes_back_no_cost_of_another_job(tech: Client, job: Job) -> None:
    other = Cost.objects.create(
        job=make_job(), kind="other", text="x", quantity=1, unit_cost=1, amount=1, on=TODAY
    )

    assert tech.post(url(job, "fitting-cost-back", other.pk)).status_code == 404
    assert Cost.objects.filter(pk=other.pk).exists()


def test_from_finished_to_handed_over(tech: Client, job: Job) -> None:
    make_fitted_detail(job=job)

    assert "The fitting is finished" in tech.get(url(job)).content.decode()
    tech.post(url(job, "fitting-finish"))
    assert "Prove that the ring is closed" in tech.get(url(job)).content.decode()
    tech.post(url(job, "fitting-proof"), {"proof-exceptions": "The gas meter."})
    assert f"Hand over to {job.household}" in tech.get(url(job)).content.decode()
    tech.post(url(job, "fitting-hand-over"))

    job.refresh_from_db()
    assert job.stage == "handed-over"
    assert job.proof.exceptions == "The gas meter."
    assert f"Handed over to {job.household}" in tech.get(url(job)).content.decode()


def test_says_what_is_missing_and_refuses_the_proof(tech: Client, job: Job) -> None:
    make_fitted_detail(job=job, place="Pipe by the gate", photographs=0)
    tech.post(url(job, "fitting-finish"))

    response = tech.post(url(job, "fitting-proof"))

    assert response.status_code == 422
    page = response.content.decode()
    assert page.count("No photograph yet: Collar, PTFE, Pipe by the gate.") == 2
    job.refresh_from_db()
    assert job.stage == "fitted"


def test_refuses_to_finish_nothing(tech: Client, job: Job) -> None:
    response = tech.post(url(job, "fitting-finish"))

    assert response.status_code == 422
    assert "Nothing is marked as fitted yet" in response.content.decode()


def test_asks_about_what_is_not_marked_and_takes_the_answer(tech: Client, job: Job) -> None:
    make_plan(home=job.home, document=house(feature("pipe-1", "pipe"), feature("pipe-2", "pipe")))
    make_fitted_detail(job=job, mark="pipe-1/house")

    asked = tech.post(url(job, "fitting-finish"))
    taken = tech.post(url(job, "fitting-finish"), {"finish-sure": "on"})

    job.refresh_from_db()
    assert (asked.status_code, taken.status_code, job.stage) == (422, 302, "fitted")
    page = asked.content.decode()
    assert "Nothing is marked at: pipe 2." in page
    assert 'name="finish-sure"' in page


def test_a_job_on_the_crews_round_is_theirs_too(tech: Client, crew: Crew) -> None:
    job = make_job(stage="booked", crew=make_crew())
    make_booking(crew=crew, home=job.home, job=job)

    assert tech.get(url(job)).status_code == 200


@pytest.mark.parametrize("name", ["fitting", *POSTS])
def test_another_crews_job_is_not_there(tech: Client, crew: Crew, name: str) -> None:
    job = make_job(stage="booked", crew=make_crew())
    make_fitted_detail(job=job)

    ask = tech.get if name == "fitting" else tech.post

    assert ask(url(job, name)).status_code == 404
    job.refresh_from_db()
    assert job.stage == "booked"


@pytest.mark.parametrize("name", POSTS)
def test_a_link_alone_changes_nothing(tech: Client, job: Job, name: str) -> None:
    assert tech.get(url(job, name)).status_code == 405


def test_asks_the_same_number_of_questions_for_any_number_of_details(
    tech: Client, job: Job, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for _ in range(5):
        make_fitted_detail(job=job, photographs=2)

    with django_assert_num_queries(14):
        tech.get(url(job))
