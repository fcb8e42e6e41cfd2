"""Several people who change the same plan at the same moment: one is kept, the others are told."""

from dataclasses import replace
from decimal import Decimal
from functools import partial
from pathlib import Path

import pytest

from customers.actions import planning
from customers.actions.planning import Edit, PlanMoved, edit_plan
from customers.models import Plan, PlanRevision
from customers.plan import editing
from customers.plan.document import PlanDocument
from tests.at_once import as_in_the_field, in_threads
from tests.customers.plan.houses import house
from tests.factories import NOON, make_home, make_plan, make_user

pytestmark = pytest.mark.django_db(transaction=True)
MANY = 4


def lengthened(number: int) -> Edit:
    def change(plan: PlanDocument) -> PlanDocument:
        known = plan.leg("leg-1")
        assert known is not None
        return editing.change_leg(plan, replace(known, length_mm=Decimal(9_000 + number)))

    return Edit(change=change, said="Leg 1 changed", mark="leg-1")


def test_of_edits_at_the_same_moment_one_is_kept(tmp_path: Path) -> None:
    home, by = make_home(), make_user(role="tech")
    make_plan(home=home, document=house())
    base = planning.standing(home).base
    database = as_in_the_field(tmp_path)
    results: list[str] = []
    kept: list[int] = []

    def attempt(number: int) -> None:
        try:
            edit_plan(home=home, base=base, edit=lengthened(number), by=by, at=NOON)
            results.append("kept")
        except PlanMoved as moved:
            results.append(moved.changes[0].split(":")[0])

    def count() -> None:
        kept.extend([Plan.objects.get(home=home).revision, PlanRevision.objects.count()])

    in_threads([partial(attempt, number) for number in range(MANY)], database)
    in_threads([count], database)

    assert sorted(results) == ["Leg 1"] * (MANY - 1) + ["kept"]
    assert kept == [2, 1]
