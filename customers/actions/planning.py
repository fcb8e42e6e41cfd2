"""Editing a plan: each change kept at once, refused where the plan moved on, undone by steps.

Edits go to the plan as surveyed until the survey is closed; afterwards to the plan as it is today,
which begins as a copy of the one that stood.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext

from customers.actions.photographing import add_photo
from customers.actions.planting import Measured, follow_plants
from customers.drawn import current_plan
from customers.models import Home, Photo, Plan, PlanRevision
from customers.plan.compare import differences
from customers.plan.document import PlanDocument, UnreadablePlan
from customers.plan.editing import NotEditable, new_problems
from customers.plan.facing import exposures
from customers.plan.problems import Problem, problems
from customers.signals import survey_closed, walls_turned
from shared.models import User
from shared.photos import CleanPhoto
from shared.refusals import Refused

STEPS_KEPT = 50
UNDONE_KEPT = 100
NO_PLAN = "none-0"


class PlanMoved(Refused):
    """Somebody changed the plan meanwhile. `changes` say how, as far as that is known."""

    def __init__(self, changes: list[str]) -> None:
        self.changes = changes
        super().__init__("The plan was changed meanwhile. Look at it, and save again.")


class Faulty(Refused):
    """The edit itself is wrong. `problems` say what, and at which field."""

    def __init__(self, found: list[Problem]) -> None:
        self.problems = found
        super().__init__(" ".join(each.message for each in found))


class NotClosable(Refused):
    """The survey cannot be closed yet. The message is fit to show a person."""


@dataclass(frozen=True, kw_only=True)
class Edit:
    """One change of a plan, and what belongs to it.

    `said` names it for undo; `mark` is the leg or feature that it is about. `plant_kinds` are
    growth kinds by plant id; `photo` shows the plant, measured after it was `cut` back;
    `confirmed` keeps a measure that looks odd.
    """

    change: Callable[[PlanDocument], PlanDocument]
    said: str
    mark: str = ""
    plant_kinds: Mapping[str, str] = field(default_factory=dict)
    photo: CleanPhoto | None = None
    cut: bool = False
    confirmed: bool = False


@dataclass(frozen=True)
class Standing:
    """The plan that stands, None where there is none, and the document an edit starts from."""

    plan: Plan | None
    document: PlanDocument

    @property
    def base(self) -> str:
        """Return what an edit says that it is made upon: the stage and revision."""
        return f"{self.plan.stage}-{self.plan.revision}" if self.plan else NO_PLAN

    @property
    def is_survey(self) -> bool:
        """Return whether an edit goes to the plan as surveyed."""
        return self.plan is None or (self.plan.stage == "surveyed" and not self.plan.closed_on)


def standing(home: Home) -> Standing:
    """Return the plan that the next edit starts from. One query. Raises UnreadablePlan."""
    plan = current_plan(home)
    return Standing(plan, PlanDocument.from_json(plan.document) if plan else PlanDocument())


@transaction.atomic
def edit_plan(*, home: Home, base: str, edit: Edit, by: User, at: datetime) -> Plan:
    """Keep the change as a new revision, its plants and readings with it.

    Raises PlanMoved, Faulty, editing.NotEditable, planting.AskFirst or UnreadablePlan; then nothing
    is kept.
    """
    stood = _held(home, base)
    after = edit.change(stood.document)
    if wrong := new_problems(stood.document, after, {edit.mark}):
        raise Faulty(wrong)
    plan = _editable(home, stood)
    _keep_step(plan, stood, said=edit.said, by=by, at=at)
    _write(plan, after, by)
    _tell_if_turned(home, stood.document, after)
    measured = _measured(edit, _photo(home, edit, by), by, at)
    follow_plants(home=home, before=stood.document, after=after, measured=measured)
    return plan


@transaction.atomic
def undo(*, home: Home, base: str, by: User, at: datetime) -> str:
    """Go back to before the last edit that is not undone; return what was undone.

    Raises PlanMoved, or NotEditable where nothing is left to undo.
    """
    stood = _held(home, base)
    step = last_step(stood.plan)
    if stood.plan is None or step is None:
        raise NotEditable("There is nothing to undo.")
    after = PlanDocument.from_json(step.document)
    _keep_step(stood.plan, stood, said=f"Undo: {step.said}", by=by, at=at, undone=True)
    PlanRevision.objects.filter(pk=step.pk).update(undone=True)
    _write(stood.plan, after, by)
    _tell_if_turned(home, stood.document, after)
    measured = Measured(confirmed=True, by=by, at=at)
    follow_plants(home=home, before=stood.document, after=after, measured=measured)
    return step.said


@transaction.atomic
def close_survey(*, home: Home, base: str, on: date, by: User) -> None:
    """Say that the home is measured: the plan as surveyed stays as it is from now on.

    Raises PlanMoved, or NotClosable where the plan has problems.
    """
    stood = _held(home, base)
    if stood.plan is None:
        raise NotClosable("There is no plan yet: walk round the building first.")
    if wrong := problems(stood.document):
        raise NotClosable(f"Put right first: {wrong[0].message}")
    freeze_survey(home=home, on=on)
    survey_closed.send(Home, home=home, on=on, by=by)


def freeze_survey(*, home: Home, on: date) -> None:
    """Close the plan as surveyed, if there is one that is not closed yet."""
    Plan.objects.filter(home=home, stage="surveyed", closed_on=None).update(closed_on=on)


@transaction.atomic
def keep_as_fitted(*, home: Home, document: PlanDocument, by: User, at: datetime) -> None:
    """Keep the plan as fitted; a plan as it is today becomes the same."""
    Home.objects.select_for_update().get(pk=home.pk)
    fitted, _created = Plan.objects.get_or_create(home=home, stage="fitted")
    _write(fitted, document, by)
    today = Plan.objects.filter(home=home, stage="today").first()
    if today is None:
        return
    try:
        stood = Standing(today, PlanDocument.from_json(today.document))
    except UnreadablePlan:
        return
    _keep_step(today, stood, said="Proved as fitted", by=by, at=at)
    _write(today, document, by)


def last_step(plan: Plan | None) -> PlanRevision | None:
    """Return the step that undo goes back to. One query."""
    return plan.revisions.filter(undone=False).first() if plan else None


def _held(home: Home, base: str) -> Standing:
    """Return what stands, held until the transaction ends. Raises PlanMoved."""
    Home.objects.select_for_update().get(pk=home.pk)
    stood = standing(home)
    if stood.base != base:
        raise PlanMoved(_changes_since(home, base, stood.document))
    return stood


def _changes_since(home: Home, base: str, now: PlanDocument) -> list[str]:
    stage, _, revision = base.rpartition("-")
    if base == NO_PLAN:
        return differences(PlanDocument(), now, translate=gettext)
    if not revision.isdecimal():
        return []
    kept = PlanRevision.objects.filter(
        plan__home=home, plan__stage=stage, revision=int(revision[:9])
    ).first()
    plan = Plan.objects.filter(home=home, stage=stage, revision=int(revision[:9])).first()
    document = kept.document if kept else plan.document if plan else None
    was = PlanDocument.from_json(document) if document else now
    return differences(was, now, translate=gettext)


def _editable(home: Home, stood: Standing) -> Plan:
    """Return the plan that the edit is written to, made where it does not exist yet."""
    stage = "surveyed" if stood.is_survey else "today"
    if stood.plan and stood.plan.stage == stage:
        return stood.plan
    plan, _created = Plan.objects.get_or_create(home=home, stage=stage)
    return plan


def _keep_step(
    plan: Plan, stood: Standing, *, said: str, by: User, at: datetime, undone: bool = False
) -> None:
    PlanRevision.objects.create(
        plan=plan,
        revision=plan.revision,
        document=stood.document.to_json(),
        said=said[:200],
        undone=undone,
        replaced_at=at,
        replaced_by=by,
    )
    steps = plan.revisions.filter(undone=False).values_list("pk", flat=True)
    plan.revisions.filter(pk__in=list(steps[STEPS_KEPT:])).delete()
    plan.revisions.filter(undone=True, revision__lt=plan.revision - UNDONE_KEPT).delete()


def _write(plan: Plan, document: PlanDocument, by: User) -> None:
    plan.document = document.to_json()
    plan.revision += 1
    plan.changed_by = by
    plan.save()


def _tell_if_turned(home: Home, before: PlanDocument, after: PlanDocument) -> None:
    if exposures(before) != exposures(after):
        walls_turned.send(Home, home=home, document=after)


def _photo(home: Home, edit: Edit, by: User) -> Photo | None:
    if edit.photo is None:
        return None
    return add_photo(home=home, clean=edit.photo, caption=edit.said, by=by)


def _measured(edit: Edit, photo: Photo | None, by: User, at: datetime) -> Measured:
    return Measured(
        kinds=edit.plant_kinds,
        mark=edit.mark,
        photo=photo,
        cut=edit.cut,
        confirmed=edit.confirmed,
        by=by,
        at=at,
    )
