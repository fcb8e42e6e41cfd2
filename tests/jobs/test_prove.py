from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import pytest
from django.db import connection

from customers.models import Plan
from customers.plan.contacts import check_plan
from customers.plan.document import PlanDocument
from customers.story import story
from jobs.actions.fitting import NotAllMarked, finish_fitting
from jobs.actions.proving import NotHandedOver, NotProvable, hand_over, missing_for_proof, prove
from jobs.models import Job, Proof
from jobs.signals import job_handed_over, job_proved
from tests.customers.plan.houses import feature, house, leg
from tests.factories import (
    NOON,
    TODAY,
    make_fitted_detail,
    make_home,
    make_job,
    make_plan,
    make_user,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def heard() -> Iterator[list[dict[str, Any]]]:
    """What the signals say, while they say it inside the transaction."""
    sayings: list[dict[str, Any]] = []

    def listen(**said: Any) -> None:
        sayings.append({**said, "inside": connection.in_atomic_block})

    job_proved.connect(listen)
    job_handed_over.connect(listen)
    yield sayings
    job_proved.disconnect(listen)
    job_handed_over.disconnect(listen)


def fitted_job(**fields: Any) -> Job:
    job = make_job(stage="fitted", fitted_on=TODAY, **fields)
    make_fitted_detail(job=job)
    return job


def give_proof(job: Job, **fields: Any) -> Proof:
    return prove(job=job, by=make_user(role="tech"), at=NOON, **fields)


def test_keeps_the_proof_and_says_so(heard: list[dict[str, Any]]) -> None:
    job = fitted_job()

    proof = give_proof(job, exceptions="The gas meter is left out.")

    assert (job.stage, proof.proved_at) == ("proved", NOON)
    assert proof.exceptions == "The gas meter is left out."
    told = [entry.text for entry in story(job.home)]
    assert f"Proved, job {job.number}: nothing was open. Left out: {proof.exceptions}" in told
    said = heard.pop()
    assert (said["job"], said["proof"], said["at"], said["inside"]) == (job, proof, NOON, True)


def test_refuses_a_detail_without_a_photograph(heard: list[dict[str, Any]]) -> None:
    job = fitted_job()
    make_fitted_detail(job=job, place="Pipe by the gate", photographs=0)

    with pytest.raises(NotProvable, match="No photograph yet: Collar, PTFE, Pipe by the gate"):
        give_proof(job)

    job.refresh_from_db()
    assert job.stage == "fitted"
    assert not heard


def test_refuses_a_detail_that_is_not_sound() -> None:
    job = fitted_job()
    make_fitted_detail(job=job, place="Door", state="damaged")

    with pytest.raises(NotProvable, match="Collar, PTFE, Door: damaged"):
        give_proof(job)


def test_refuses_a_fitting_of_nothing() -> None:
    with pytest.raises(NotProvable, match="Nothing is marked"):
        give_proof(make_job(stage="fitted"))


def test_a_repair_needs_no_details() -> None:
    assert missing_for_proof(make_job(stage="fitted", kind="repair"), on=TODAY) == []


@pytest.mark.parametrize("stage", ["booked", "proved", "handed-over"])
def test_refuses_before_the_fitting_is_finished_and_twice(stage: str) -> None:
    job = make_job(stage=stage)
    make_fitted_detail(job=job)

    with pytest.raises(NotProvable, match="follows a finished fitting"):
        give_proof(job)


def test_what_fails_above_takes_the_proof_with_it() -> None:
    job = fitted_job()

    def fail(**_: Any) -> None:
        raise RuntimeError("no promise could be opened")

    job_proved.connect(fail)
    try:
        with pytest.raises(RuntimeError):
            give_proof(job)
    finally:
        job_proved.disconnect(fail)

    assert not Proof.objects.exists()
    assert Job.objects.get(pk=job.pk).stage == "fitted"


def test_hands_over_on_the_homes_own_day(heard: list[dict[str, Any]]) -> None:
    job = fitted_job(home=make_home(zone="America/Phoenix"))
    give_proof(job)
    late = datetime(2026, 3, 3, 5, 0, tzinfo=UTC)  # ten in the evening of 2 March

    hand_over(job=job, at=late)

    assert (job.stage, job.handed_over_on) == ("handed-over", TODAY)
    said = heard.pop()
    assert (said["signal"], said["job"], said["inside"]) == (job_handed_over, job, True)


def test_refuses_to_hand_over_without_a_proof(heard: list[dict[str, Any]]) -> None:
    job = fitted_job()

    with pytest.raises(NotHandedOver, match="no proof yet"):
        hand_over(job=job, at=NOON)

    assert not heard


def test_refuses_a_stage_without_the_proof_behind_it() -> None:
    with pytest.raises(NotHandedOver, match="no proof yet"):
        hand_over(job=make_job(stage="proved"), at=NOON)


def test_refuses_to_hand_over_twice() -> None:
    job = fitted_job()
    give_proof(job)
    hand_over(job=job, at=NOON)

    with pytest.raises(NotHandedOver, match="already"):
        hand_over(job=job, at=NOON)


def bare_house() -> PlanDocument:
    """A house with a pipe; nothing is fitted anywhere."""
    bare = [leg(number, length, strip="") for number, length in enumerate((10000, 8000) * 2, 1)]
    return house(feature("pipe-1", "pipe"), legs=tuple(bare))


def job_with_a_plan(*, details: dict[str, str]) -> Job:
    job = make_job(stage="fitted", fitted_on=TODAY)
    make_plan(home=job.home, document=bare_house())
    for mark, code in details.items():
        make_fitted_detail(job=job, mark=mark, code=code)
    return job


STRIPS = dict.fromkeys(("leg-1", "leg-2", "leg-3", "leg-4"), "strip-glass")


def test_keeps_the_plan_as_fitted_with_the_proof() -> None:
    job = job_with_a_plan(details={**STRIPS, "pipe-1/house": "collar"})

    proof = give_proof(job)

    document = PlanDocument.from_json(proof.plan)
    assert check_plan(document).closed
    assert Plan.objects.get(home=job.home, stage="fitted").document == proof.plan
    assert not check_plan(bare_house()).closed


def test_refuses_an_open_ring_and_names_the_way_in() -> None:
    job = job_with_a_plan(details=STRIPS)

    with pytest.raises(NotProvable, match="A way in is open: ground > pipe 1 > building"):
        give_proof(job)

    assert not Plan.objects.filter(stage="fitted").exists()


def test_refuses_a_plan_with_a_fault_in_it() -> None:
    job = job_with_a_plan(details=STRIPS)
    Plan.objects.update(document=house(feature("thing-1", "no kind")).to_json())

    with pytest.raises(NotProvable, match="The plan: "):
        give_proof(job)


def open_job() -> Job:
    """A job of a bare house, booked, its strips marked but for leg 4's and the pipe's collar."""
    job = job_with_a_plan(details={f"leg-{n}": "strip-glass" for n in (1, 2, 3)})
    Job.objects.filter(pk=job.pk).update(stage="booked", fitted_on=None)
    job.refresh_from_db()
    return job


def test_asks_once_about_places_at_which_nothing_is_marked() -> None:
    job = open_job()

    with pytest.raises(NotAllMarked) as asked:
        finish_fitting(job=job, on=TODAY)
    stage = Job.objects.get(pk=job.pk).stage
    finish_fitting(job=job, on=TODAY, sure=True)

    assert "Nothing is marked at: leg 4, pipe 1." in str(asked.value)
    assert (stage, job.stage) == ("booked", "fitted")
