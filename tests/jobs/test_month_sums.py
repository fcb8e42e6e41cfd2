"""The ledger's kept sums: they move with every job, and say so when they did not."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given
from hypothesis import strategies as st

from jobs.actions.costing import Material, add_hours, add_material, take_back
from jobs.actions.fitting import finish_fitting
from jobs.actions.recounting import drift
from jobs.ledger import Cell, Counted, Earnings, differences
from jobs.models import Cost, Job, MonthSum
from tests.factories import make_crew, make_job, make_user

CENTS = st.decimals(-10_000, 100_000, places=2)
SUMS = st.dictionaries(
    st.builds(
        Cell,
        st.dates(date(2026, 1, 1), date(2026, 3, 1)),
        st.just("fitting"),
        st.just("web"),
        st.sampled_from([None, 1, 2]),
    ),
    st.builds(Counted, st.integers(0, 9), st.builds(Earnings, CENTS, CENTS, CENTS)),
    max_size=6,
)
DAY = date(2026, 3, 2)


@given(SUMS, SUMS)
def test_differences_added_to_what_was_make_what_is(
    before: dict[Cell, Counted], after: dict[Cell, Counted]
) -> None:
    moved = differences(before, after)

    made = {cell: before.get(cell, Counted()) + moved.get(cell, Counted()) for cell in before}
    made |= {cell: more for cell, more in moved.items() if cell not in before}
    nothing = Counted()
    assert {c: each for c, each in made.items() if each != nothing} == {
        c: each for c, each in after.items() if each != nothing
    }


@pytest.mark.django_db
def test_a_finished_fitting_and_its_costs_move_the_month() -> None:
    job = make_job(stage="booked", kind="check", crew=make_crew(), revenue=Decimal("500.05"))

    finish_fitting(job=job, on=DAY)
    user = make_user()
    material = Material(text="Cap", quantity=Decimal(3), unit_cost=Decimal("0.07"))
    cost = add_material(job=job, material=material, on=DAY, by=user)
    add_hours(job=job, hours=Decimal(1), crew=make_crew(), on=DAY, by=user, callback="CB-1")

    counted = MonthSum.objects.filter(month=date(2026, 3, 1)).total()
    assert counted.jobs == 1
    assert counted.earned.materials == Decimal("0.21")
    assert counted.earned.promise == make_crew().hourly_cost

    take_back(cost=cost)

    assert MonthSum.objects.total().earned.materials == 0
    assert drift() == []


@pytest.mark.django_db
def test_sums_of_many_cents_are_exact() -> None:
    crew = make_crew()
    for n in range(40):
        job = make_job(fitted_on=DAY + timedelta(days=n), stage="fitted", crew=(crew, None)[n % 2])
        material = Material(text="Cap", quantity=Decimal(1), unit_cost=Decimal("0.10") + n)
        add_material(job=job, material=material, on=DAY, by=make_user())

    assert MonthSum.objects.total().earned.materials == sum(
        (cost.amount for cost in Cost.objects.all()), Decimal(0)
    )
    assert MonthSum.objects.count() == 4  # two months, with a crew and without
    assert drift() == []


@pytest.mark.django_db
def test_the_check_names_what_is_off_and_the_recount_mends_it(
    capsys: pytest.CaptureFixture[str],
) -> None:
    job = make_job(fitted_on=DAY, stage="fitted")
    Job.objects.filter(pk=job.pk).update(revenue=Decimal("100.00"))  # past every action

    with pytest.raises(CommandError, match="2 sums"):
        call_command("recount", "--check")
    said = capsys.readouterr().out
    call_command("recount")
    call_command("recount", "--check")

    assert f"job {job.number}: its money" in said
    assert "March 2026, fitting, other, crew none: +0 jobs, revenue +100.00" in said
    assert capsys.readouterr().out.endswith("Every sum is right.\n")
    assert MonthSum.objects.total() == Counted(1)
