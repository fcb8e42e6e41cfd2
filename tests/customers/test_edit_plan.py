"""Every edit of a plan is kept at once, refused on an older revision, and can be undone."""

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from customers.actions import planning
from customers.actions.planning import Edit, Faulty, NotClosable, PlanMoved, edit_plan
from customers.actions.planting import AskFirst
from customers.models import Home, Plan, PlanRevision, Plant
from customers.plan import editing
from customers.plan.document import Leg, PlanDocument, Walk
from customers.plan.editing import NotEditable
from customers.plan.problems import problems
from shared.models import User
from tests.customers.plan.houses import feature, house, leg, touch
from tests.factories import NOON, TODAY, make_clean_photo, make_home, make_job, make_plan, make_user
from warranties.models import Reading, Watch

pytestmark = pytest.mark.django_db
LATER = NOON + timedelta(days=90)


@pytest.fixture
def home() -> Home:
    return make_home()


@pytest.fixture
def tech() -> User:
    return make_user(role="tech")


def base(home: Home) -> str:
    return planning.standing(home).base


def document(home: Home) -> PlanDocument:
    return planning.standing(home).document


def lengthened(mm: int) -> Edit:
    """Leg 1 made so long."""

    def change(plan: PlanDocument) -> PlanDocument:
        known = plan.leg("leg-1")
        assert known is not None
        return editing.change_leg(plan, replace(known, length_mm=Decimal(mm)))

    return Edit(change=change, said=f"Leg 1 is {mm} mm", mark="leg-1")


def planted(**changes: Any) -> Edit:
    plant = feature("plant-1", "plant on the ground", name="lantana", leg="leg-4", **changes)
    return Edit(
        change=lambda plan: editing.add_feature(plan, plant),
        said="Lantana added",
        mark="plant-1",
        plant_kinds={"plant-1": "lantana"},
    )


def replanted(**changes: Any) -> Edit:
    def change(plan: PlanDocument) -> PlanDocument:
        known = plan.feature("plant-1")
        assert known is not None
        return editing.change_feature(plan, replace(known, **changes))

    return Edit(change=change, said="Lantana changed", mark="plant-1")


def keep(home: Home, edit: Edit, by: User, at: datetime = NOON) -> Plan:
    return edit_plan(home=home, base=base(home), edit=edit, by=by, at=at)


def test_the_first_edit_makes_the_plan_as_surveyed(home: Home, tech: User) -> None:
    walk = Walk(id="walk-1", legs=(leg(1),))

    keep(home, Edit(change=lambda plan: editing.add_walk(plan, walk), said="First leg"), tech)

    plan = Plan.objects.get(home=home)
    assert (plan.stage, plan.revision, plan.changed_by) == ("surveyed", 1, tech)
    assert document(home).walks == (walk,)


def test_each_edit_is_a_revision_and_keeps_what_it_replaced(home: Home, tech: User) -> None:
    make_plan(home=home, document=house())

    plan = keep(home, lengthened(9_000), tech)

    assert plan.revision == 2
    step = PlanRevision.objects.get(plan=plan)
    assert (step.revision, step.said, step.undone) == (1, "Leg 1 is 9000 mm", False)
    assert PlanDocument.from_json(step.document) == house()


def test_an_edit_on_an_older_revision_is_refused_and_says_what_changed(
    home: Home, tech: User
) -> None:
    make_plan(home=home, document=house())
    old = base(home)
    keep(home, lengthened(3_048), tech)

    with pytest.raises(PlanMoved) as moved:
        edit_plan(home=home, base=old, edit=lengthened(5_000), by=tech, at=NOON)

    assert moved.value.changes == ["Leg 1: length was 32' 9 11/16\", is 10' 0\"."]
    known = document(home).leg("leg-1")
    assert known is not None
    assert known.length_mm == 3_048


@pytest.mark.parametrize("given", ["", "surveyed-", "surveyed-9999999999999", "none-0", "x"])
def test_a_base_that_never_was_is_refused(home: Home, tech: User, given: str) -> None:
    make_plan(home=home, document=house())

    with pytest.raises(PlanMoved):
        edit_plan(home=home, base=given, edit=lengthened(5_000), by=tech, at=NOON)


def test_undo_goes_back_step_by_step(home: Home, tech: User) -> None:
    make_plan(home=home, document=house())
    keep(home, lengthened(9_000), tech)
    keep(home, lengthened(8_000), tech)

    said = [planning.undo(home=home, base=base(home), by=tech, at=NOON) for _ in range(2)]

    assert said == ["Leg 1 is 8000 mm", "Leg 1 is 9000 mm"]
    assert document(home) == house()
    with pytest.raises(NotEditable, match="nothing to undo"):
        planning.undo(home=home, base=base(home), by=tech, at=NOON)


def test_an_edit_after_undo_can_be_undone_too(home: Home, tech: User) -> None:
    make_plan(home=home, document=house())
    keep(home, lengthened(9_000), tech)
    planning.undo(home=home, base=base(home), by=tech, at=NOON)
    keep(home, lengthened(7_000), tech)

    planning.undo(home=home, base=base(home), by=tech, at=NOON)

    assert document(home) == house()


def test_a_late_edit_after_undo_is_told_what_changed(home: Home, tech: User) -> None:
    make_plan(home=home, document=house())
    keep(home, lengthened(3_048), tech)
    old = base(home)
    planning.undo(home=home, base=old, by=tech, at=NOON)

    with pytest.raises(PlanMoved) as moved:
        edit_plan(home=home, base=old, edit=lengthened(1_000), by=tech, at=NOON)

    assert moved.value.changes == ["Leg 1: length was 10' 0\", is 32' 9 11/16\"."]


def test_fifty_steps_can_be_undone(home: Home, tech: User) -> None:
    make_plan(home=home, document=house())
    for step in range(53):
        keep(home, lengthened(5_000 + step), tech)

    undone = 0
    while planning.last_step(planning.standing(home).plan):
        planning.undo(home=home, base=base(home), by=tech, at=NOON)
        undone += 1

    assert undone == 50


def test_what_the_edit_itself_brings_wrong_is_refused_at_its_field(home: Home, tech: User) -> None:
    make_plan(home=home, document=house())

    with pytest.raises(Faulty) as faulty:
        keep(home, lengthened(0), tech)

    assert [(each.where, each.field) for each in faulty.value.problems] == [("leg-1", "length_mm")]
    assert document(home) == house()


def test_a_walk_that_does_not_close_yet_is_kept(home: Home, tech: User) -> None:
    make_plan(home=home, document=house())

    keep(home, lengthened(7_000), tech)

    assert problems(document(home))


def test_a_closed_survey_stays_and_edits_go_to_today(home: Home, tech: User) -> None:
    job = make_job(home=home)
    make_plan(home=home, document=house())

    planning.close_survey(home=home, base=base(home), on=TODAY, by=tech)
    keep(home, lengthened(9_000), tech)

    job.refresh_from_db()
    surveyed, today = Plan.objects.filter(home=home).order_by("stage")
    assert (job.stage, job.measured_on) == ("measured", TODAY)
    assert (surveyed.stage, today.stage) == ("surveyed", "today")
    assert PlanDocument.from_json(surveyed.document) == house()
    assert document(home) != house()


def test_a_survey_with_problems_is_not_closed(home: Home, tech: User) -> None:
    make_plan(home=home, document=house(legs=(leg(2, 9_000),)))

    with pytest.raises(NotClosable, match="Put right first: The walk ends"):
        planning.close_survey(home=home, base=base(home), on=TODAY, by=tech)


def test_what_is_changed_after_fitting_changes_the_plan_of_today(home: Home, tech: User) -> None:
    make_plan(home=home, document=house(), stage="surveyed")
    make_plan(home=home, document=house(), stage="fitted")

    keep(home, lengthened(9_000), tech)

    fitted = Plan.objects.get(home=home, stage="fitted")
    assert PlanDocument.from_json(fitted.document) == house()
    assert planning.standing(home).base == "today-1"


def test_what_is_fitted_later_is_how_it_is_today(home: Home, tech: User) -> None:
    make_plan(home=home, document=house(), stage="today")
    fitted = house(legs=(leg(1, strip_state="damaged"),))

    planning.keep_as_fitted(home=home, document=fitted, by=tech, at=NOON)

    assert document(home) == fitted
    assert planning.standing(home).base == "today-2"


def test_a_new_plant_gets_its_row_and_its_first_reading(home: Home, tech: User) -> None:
    make_plan(home=home, document=house())
    edit = replace(planted(clearance_mm=Decimal(305)), photo=make_clean_photo())

    keep(home, edit, tech)

    plant = Plant.objects.get(home=home)
    reading = Reading.objects.get(plant=plant)
    assert (plant.mark, plant.name, plant.kind, plant.place) == (
        "plant-1",
        "lantana",
        "lantana",
        "at leg 4",
    )
    assert (reading.clearance_mm, reading.on, reading.by) == (305, TODAY, tech)
    assert plant.photo is not None
    assert reading.photo == plant.photo
    assert Watch.objects.get(plant=plant).opens_on is not None


def test_a_measure_of_the_same_day_replaces_the_first(home: Home, tech: User) -> None:
    make_plan(home=home, document=house())
    keep(home, planted(clearance_mm=Decimal(305)), tech)

    keep(home, replanted(clearance_mm=Decimal(280)), tech)

    assert [each.clearance_mm for each in Reading.objects.all()] == [280]


def test_a_plant_just_cut_back_is_read_as_cut(home: Home, tech: User) -> None:
    make_plan(home=home, document=house())
    keep(home, planted(clearance_mm=Decimal(100)), tech)

    cut = replace(replanted(clearance_mm=Decimal(305)), cut=True)
    keep(home, cut, tech, at=LATER)

    assert [each.trimmed_to_mm for each in Reading.objects.order_by("on")] == [None, 305]


def test_a_measure_that_can_hardly_be_right_is_asked_about(home: Home, tech: User) -> None:
    make_plan(home=home, document=house())
    keep(home, planted(clearance_mm=Decimal(100)), tech)
    odd = replanted(clearance_mm=Decimal(4_000))

    with pytest.raises(AskFirst):
        keep(home, odd, tech, at=LATER)
    assert Reading.objects.count() == 1

    keep(home, replace(odd, confirmed=True), tech, at=LATER)
    assert Reading.objects.order_by("on").last().confirmed  # type: ignore[union-attr]


def test_a_plant_renamed_keeps_its_row_and_readings(home: Home, tech: User) -> None:
    make_plan(home=home, document=house())
    keep(home, planted(clearance_mm=Decimal(305)), tech)

    keep(home, replanted(name="lantana by the gate"), tech)

    plant = Plant.objects.get(home=home)
    assert plant.name == "lantana by the gate"
    assert Reading.objects.count() == 1


def test_a_plant_taken_off_is_removed_and_comes_back_with_undo(home: Home, tech: User) -> None:
    make_plan(home=home, document=house())
    keep(home, planted(clearance_mm=Decimal(305)), tech)

    gone = Edit(change=lambda plan: editing.remove_feature(plan, "plant-1"), said="Lantana removed")
    keep(home, gone, tech)
    removed_on = Plant.objects.get(home=home).removed_on
    planning.undo(home=home, base=base(home), by=tech, at=NOON)

    assert removed_on == TODAY
    assert Plant.objects.get(home=home).removed_on is None
    assert Reading.objects.count() == 1


def test_a_plant_that_only_touches_a_garden_wall_is_read_against_it(home: Home, tech: User) -> None:
    wall = feature("garden-wall-1", "garden wall")
    make_plan(home=home, document=house(wall))

    keep(home, planted(clearance_mm=None, touches=(touch("garden-wall-1", 150),)), tech)

    assert Plant.objects.get(home=home).touches == "garden-wall-1"
    assert Reading.objects.get().clearance_mm == 150


def test_ids_are_never_given_again() -> None:
    plan = house(feature("pipe-3", "pipe"))

    assert editing.next_id(plan, "leg") == "leg-5"
    assert editing.next_id(plan, "pipe") == "pipe-4"
    assert editing.next_id(plan, "plant", taken=["plant-7"]) == "plant-8"


def test_a_leg_with_something_at_it_is_not_removed() -> None:
    plan = house(feature("pipe-1", "pipe", name="hose bib", leg="leg-2"))

    with pytest.raises(NotEditable, match="stands at leg 2: hose bib"):
        editing.remove_leg(plan, "leg-2")

    assert [each.id for _, each in editing.remove_leg(plan, "leg-3").legs] == [
        "leg-1",
        "leg-2",
        "leg-4",
    ]


def test_a_leg_can_be_put_in_between() -> None:
    plan = editing.add_leg(house(), "walk-1", Leg(id="leg-5", length_mm=Decimal(1)), before="leg-2")

    assert [each.id for _, each in plan.legs] == ["leg-1", "leg-5", "leg-2", "leg-3", "leg-4"]


def test_what_touched_a_feature_forgets_it_when_it_is_removed() -> None:
    plant = feature("plant-1", "plant on the ground", touches=(touch("pipe-1"), touch("leg-2")))

    plan = editing.remove_feature(house(feature("pipe-1", "pipe"), plant), "pipe-1")

    assert [each.id for each in plan.features[0].touches] == ["leg-2"]
