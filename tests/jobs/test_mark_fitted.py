from dataclasses import replace
from decimal import Decimal
from importlib import import_module
from types import SimpleNamespace

import pytest
from django.apps import apps
from django.db import connection

from customers.actions.planning import Edit, edit_plan, undo
from customers.models import Home, Plan
from customers.plan.editing import turn
from jobs.actions.fitting import Fitting, NotFittable, mark_fitted, unmark
from jobs.models import FittedDetail, Job
from tests.customers.plan.houses import feature, house
from tests.factories import NOON, make_clean_photo, make_job, make_plan, make_user

pytestmark = pytest.mark.django_db


def mark(job: Job, *, photographs: tuple[str, ...] = ("red",), **fields: str) -> FittedDetail:
    return mark_fitted(
        job=job,
        fitting=Fitting(**{"code": "collar", "place": "Pipe by the gate", **fields}),
        photographs=[make_clean_photo(each) for each in photographs],
        by=make_user(role="tech"),
        at=NOON,
    )


def test_records_the_detail_with_its_photographs() -> None:
    job = make_job(stage="booked")

    detail = mark(job, photographs=("red", "green"), lot="L-77")

    assert (detail.code, detail.place, detail.lot) == ("collar", "Pipe by the gate", "L-77")
    assert (detail.mark, detail.state, detail.fitted_at) == ("pipe-by-the-gate", "sound", NOON)
    assert detail.photos.count() == 2
    assert {photo.home for photo in detail.photos.all()} == {job.home}


def test_the_same_detail_again_adds_to_it() -> None:
    job = make_job(stage="booked")
    mark(job, photographs=(), lot="L-77")

    detail = mark(job, photographs=("red",), state="damaged")

    assert job.fitted_details.count() == 1
    assert (detail.lot, detail.state, detail.photos.count()) == ("L-77", "damaged", 1)


def test_another_detail_at_the_same_place_is_another() -> None:
    job = make_job(stage="fitted")
    mark(job)

    mark(job, code="cap")

    assert job.fitted_details.count() == 2


def test_refuses_a_place_without_words() -> None:
    with pytest.raises(NotFittable, match="Say where"):
        mark(make_job(stage="booked"), place="")


@pytest.mark.parametrize("stage", ["asked", "priced", "proved", "handed-over", "cancelled"])
def test_refuses_a_job_that_is_not_being_fitted(stage: str) -> None:
    job = make_job(stage=stage)

    with pytest.raises(NotFittable, match=job.number):
        mark(job)


def test_with_a_plan_the_place_is_one_of_the_plan() -> None:
    job = make_job(stage="booked")
    pipe = feature("pipe-1", "pipe")
    make_plan(home=job.home, document=house(pipe))

    detail = mark(job, mark="pipe-1/house", place="")

    assert (detail.mark, detail.place) == ("pipe-1/house", "pipe 1 > building")
    assert detail.surface == "stucco"  # of the leg that the pipe stands at
    assert detail.exposure == ""  # as long as nobody says where north lies
    with pytest.raises(NotFittable, match="Say where in the plan"):
        mark(job, mark="pipe-2/house")
    with pytest.raises(NotFittable, match="no such detail"):
        mark(job, mark="leg-1", code="collar")


def facing_east(home: Home) -> None:
    """A plan whose first leg heads east, as somebody took it, with a pipe at its second leg."""
    plan = house(feature("pipe-1", "pipe", leg="leg-2"))
    make_plan(home=home, document=replace(plan, north_known=True))


def test_says_which_way_the_wall_of_a_detail_faces() -> None:
    job = make_job(stage="booked")
    facing_east(job.home)

    strip = mark(job, mark="leg-1", code="strip-glass", photographs=())
    collar = mark(job, mark="pipe-1/house", photographs=())

    assert (strip.exposure, collar.exposure) == ("south", "east")


def test_details_turn_with_the_plan_when_north_is_taken_later() -> None:
    job = make_job(stage="booked")
    facing_east(job.home)
    strip = mark(job, mark="leg-1", code="strip-glass", photographs=())
    Job.objects.filter(pk=job.pk).update(stage="handed-over")
    by, edit = make_user(), Edit(change=lambda plan: turn(plan, Decimal(0)), said="North set")

    plan = edit_plan(home=job.home, base="surveyed-1", edit=edit, by=by, at=NOON)
    strip.refresh_from_db()
    turned = strip.exposure
    undo(home=job.home, base=f"surveyed-{plan.revision}", by=by, at=NOON)
    strip.refresh_from_db()

    assert (turned, strip.exposure) == ("east", "south")


def test_details_of_before_are_told_by_the_plan_that_stands() -> None:
    job, unplanned = make_job(stage="booked"), make_job(stage="booked")
    facing_east(job.home)
    details = [
        mark(job, mark=leg, code="strip-glass", photographs=()) for leg in ("leg-3", "leg-4")
    ]
    details.append(mark(unplanned, photographs=()))
    FittedDetail.objects.update(exposure="")
    fill = import_module("jobs.migrations.0004_fill_exposures").fill

    for _again in range(2):
        fill(apps, SimpleNamespace(connection=connection))

    for detail in details:
        detail.refresh_from_db()
    assert [each.exposure for each in details] == ["north", "west", ""]


def test_refuses_a_plan_that_cannot_be_read() -> None:
    job = make_job(stage="booked")
    Plan.objects.create(home=job.home, stage="surveyed", document={"schema": 99})

    with pytest.raises(NotFittable, match="cannot be read"):
        mark(job)


def test_takes_back_a_mistake_and_keeps_the_photograph() -> None:
    job = make_job(stage="booked")

    unmark(detail=mark(job))

    assert not job.fitted_details.exists()
    assert job.home.photos.count() == 1


def test_takes_nothing_back_after_the_proof() -> None:
    job = make_job(stage="fitted")
    detail = mark(job)
    Job.objects.filter(pk=job.pk).update(stage="proved")

    with pytest.raises(NotFittable):
        unmark(detail=detail)
