"""Material and hours as costs of a job."""

from decimal import Decimal
from typing import Any

import pytest

from jobs.actions.costing import Material, NotCounted, add_hours, add_material, take_back
from jobs.models import Cost, Job
from tests.factories import TODAY, make_crew, make_job, make_user

pytestmark = pytest.mark.django_db


def use(job: Job, *, callback: str = "", again: bool = False, **fields: Any) -> Cost:
    material = {"text": "Glass strip", "quantity": Decimal("161.5"), "unit_cost": Decimal("7.53")}
    return add_material(
        job=job,
        material=Material(**{**material, **fields}),
        on=TODAY,
        by=make_user(role="tech"),
        callback=callback,
        again=again,
    )


def work(job: Job, hours: str, callback: str = "") -> Cost:
    crew = make_crew(hourly_cost=Decimal("38.25"))
    return add_hours(
        job=job,
        hours=Decimal(hours),
        crew=crew,
        on=TODAY,
        by=make_user(role="tech"),
        callback=callback,
    )


def test_material_costs_quantity_times_cost_to_the_cent() -> None:
    cost = use(make_job(stage="booked"), lot="L-77")

    assert cost.amount == Decimal("1216.10")  # 1216.095, half up
    assert (cost.kind, cost.reason, cost.reference, cost.lot) == ("material", "fitting", "", "L-77")
    assert cost.history.count() == 1


def test_hours_cost_what_the_crew_costs() -> None:
    cost = work(make_job(stage="fitted"), "2.5")

    assert (cost.unit_cost, cost.amount) == (Decimal("38.25"), Decimal("95.63"))
    assert (cost.kind, cost.on) == ("labour", TODAY)


def test_a_callbacks_cost_carries_its_number() -> None:
    job = make_job(stage="handed-over")

    costs = [use(job, callback="CB-2026-0042"), work(job, "1", callback="CB-2026-0042")]

    assert {(cost.reason, cost.reference) for cost in costs} == {("promise", "CB-2026-0042")}


@pytest.mark.parametrize(
    "fields",
    [{"text": " "}, {"quantity": Decimal(0)}, {"unit_cost": Decimal("-0.01")}],
    ids=["no words", "nothing", "below zero"],
)
def test_refuses_material_that_makes_no_sense(fields: dict[str, Any]) -> None:
    with pytest.raises(NotCounted):
        use(make_job(stage="booked"), **fields)


def test_the_same_cost_of_a_day_is_asked_about() -> None:
    job = make_job(stage="booked")
    use(job)

    with pytest.raises(NotCounted, match="as much again"):
        use(job)
    use(job, again=True)
    use(job, callback="CB-2026-0042")
    use(job, lot="L-77")

    assert Cost.objects.count() == 4


def test_refuses_costs_that_no_ledger_can_hold() -> None:
    job = make_job(stage="booked")
    use(job, quantity=Decimal(1), unit_cost=Decimal("9999999999.00"))

    for quantity in ("1", "9999999.999"):
        with pytest.raises(NotCounted, match="look at the numbers"):
            use(job, quantity=Decimal(quantity), unit_cost=Decimal("9999999999.99"))

    assert Cost.objects.count() == 1


@pytest.mark.parametrize("hours", ["0", "-1", "100.5"])
def test_refuses_hours_that_make_no_sense(hours: str) -> None:
    with pytest.raises(NotCounted, match="Hours"):
        work(make_job(stage="booked"), hours)


@pytest.mark.parametrize("stage", ["asked", "cancelled"])
def test_refuses_costs_of_a_fitting_that_is_not_to_be(stage: str) -> None:
    with pytest.raises(NotCounted, match="no costs"):
        use(make_job(stage=stage))


def test_takes_back_a_mistake_and_keeps_its_history() -> None:
    cost = use(make_job(stage="fitted"))

    take_back(cost=cost)

    assert not Cost.objects.exists()
    assert Cost.history.filter(history_type="-").count() == 1


def test_takes_back_nothing_of_a_job_handed_over() -> None:
    job = make_job(stage="fitted")
    cost = use(job)
    Job.objects.filter(pk=job.pk).update(stage="handed-over")

    with pytest.raises(NotCounted, match="stand"):
        take_back(cost=Cost.objects.get(pk=cost.pk))
