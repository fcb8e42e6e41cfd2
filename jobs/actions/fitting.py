"""What the crew fits, marked where it was fitted, with its photographs."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils.text import slugify
from django.utils.translation import gettext as _

from customers.actions import add_photo
from customers.drawn import current_plan
from customers.models import Home
from customers.plan.document import PlanDocument, UnreadablePlan
from customers.plan.drawing.words import in_language
from jobs.asfitted import Done, Place, as_fitted, exposures_in, places, surface_at, unmarked
from jobs.models import FittedDetail, Job
from jobs.models.job import BEFORE_FITTING
from jobs.models.months import months_kept
from shared.models import User
from shared.photos import CleanPhoto
from shared.refusals import Refused

MAY_BE_FITTED = (*BEFORE_FITTING, "fitted")
NAMED = 8  # Places that a question names before it counts the rest.
HAS_A_RING = ("fitting", "extension")  # Kinds of job that leave details behind.


class NotFittable(Refused):
    """The fitting cannot be recorded so. The message is fit to show a person."""


class NotAllMarked(NotFittable):
    """The plan has places at which nothing is marked. The message asks whether that is meant."""


@dataclass(frozen=True, kw_only=True)
class Fitting:
    """A detail at a place. `mark` names the place in the plan; without a plan the words do."""

    code: str
    place: str
    mark: str = ""
    lot: str = ""
    state: str = "sound"


@transaction.atomic
def mark_fitted(
    *, job: Job, fitting: Fitting, photographs: Sequence[CleanPhoto], by: User, at: datetime
) -> FittedDetail:
    """Record a detail, or add to what was recorded of the same detail at the same place.

    Raises NotFittable; then nothing is recorded.
    """
    fitting_stage(job)
    plan = plan_to_fit(job.home)
    mark, place = _where(fitting, places(plan) if plan else [])
    detail, _created = FittedDetail.objects.update_or_create(
        job=job,
        mark=mark,
        code=fitting.code,
        defaults={
            "place": place,
            "state": fitting.state,
            **({"lot": fitting.lot} if fitting.lot else {}),
        },
        create_defaults={
            "place": place,
            "state": fitting.state,
            "lot": fitting.lot,
            "surface": surface_at(plan, mark) if plan else "",
            "exposure": exposures_in(plan)(mark) if plan else "",
            "fitted_at": at,
            "fitted_by": by,
        },
    )
    caption = str(detail)
    detail.photos.add(
        *(add_photo(home=job.home, clean=each, caption=caption, by=by) for each in photographs)
    )
    return detail


def plan_to_fit(home: Home) -> PlanDocument | None:
    """Return the plan that stands, None without one. One query.

    Raises NotFittable where the plan cannot be read.
    """
    plan = current_plan(home)
    try:
        return PlanDocument.from_json(plan.document) if plan else None
    except UnreadablePlan as error:
        raise NotFittable(
            _("The plan of this home cannot be read: {error}").format(error=error)
        ) from error


def plan_as_fitted(job: Job) -> PlanDocument | None:
    """Return the home's plan with what this job fitted, None without a plan. Two queries.

    Raises NotFittable where the plan cannot be read.
    """
    document = plan_to_fit(job.home)
    if document is None:
        return None
    done = [Done(each.mark, each.code, each.state) for each in job.fitted_details.order_by("pk")]
    return as_fitted(document, done, clearance_mm=job.home.clearance_mm)


def places_to_fit(home: Home) -> list[Place]:
    """Return the places of the home's plan, none without a plan. One query."""
    document = plan_to_fit(home)
    return places(document) if document else []


def _where(fitting: Fitting, known: list[Place]) -> tuple[str, str]:
    """Return the mark and the words of the place."""
    place = next((each for each in known if each.mark == fitting.mark), None)
    if place and fitting.code not in place.codes:
        raise NotFittable(_("The plan knows no such detail at {words}.").format(words=place.words))
    if place:
        return place.mark, fitting.place or place.words
    if known:
        raise NotFittable(_("Say where in the plan it is fitted."))
    if mark := slugify(fitting.place)[:40]:
        return mark, fitting.place
    raise NotFittable(_("Say where it is fitted: the leg, the pipe, the door."))


@transaction.atomic
def follow_walls(*, home: Home, document: PlanDocument) -> None:
    """Say of each detail at the home how its wall faces by this plan. Two queries."""
    exposure_at = exposures_in(document)
    details = list(FittedDetail.objects.filter(job__home=home).only("mark", "exposure"))
    for detail in details:
        detail.exposure = exposure_at(detail.mark)
    FittedDetail.objects.bulk_update(details, ["exposure"])


@transaction.atomic
def unmark(*, detail: FittedDetail) -> None:
    """Take back what was marked by mistake. Its photographs stay with the home."""
    fitting_stage(detail.job)
    detail.delete()


@transaction.atomic
def finish_fitting(*, job: Job, on: date, sure: bool = False) -> None:
    """Say that the crew is done. Raises NotFittable where nothing was fitted or it is too late.

    Raises NotAllMarked where places of the plan are not marked, unless the crew is `sure`.
    """
    held = fitting_stage(job)
    if held.stage == "fitted":
        raise NotFittable(_("The fitting is finished already."))
    if held.kind in HAS_A_RING and not held.fitted_details.exists():
        raise NotFittable(_("Nothing is marked as fitted yet: mark each detail where it is."))
    if not sure and held.kind in HAS_A_RING:
        _ask_of_unmarked(held)
    held.stage = "fitted"
    held.fitted_on = on
    with months_kept(Job.objects.filter(pk=job.pk)):
        held.save(update_fields=["stage", "fitted_on"])
    job.refresh_from_db()


def _ask_of_unmarked(job: Job) -> None:
    """Raises NotAllMarked. A plan that cannot be read asks nothing: the proof speaks of it."""
    try:
        document = plan_as_fitted(job)
    except NotFittable:
        return
    names = [in_language(each, _) for each in unmarked(document)] if document else []
    if not names:
        return
    said = ", ".join(names[:NAMED])
    if (more := len(names) - NAMED) > 0:
        said = _("{places} and {count} more").format(places=said, count=more)
    raise NotAllMarked(
        _("Nothing is marked at: {places}. Is the fitting finished all the same?").format(
            places=said
        )
    )


def fitting_stage(job: Job) -> Job:
    """Return the job as it stands, held until the transaction ends.

    Raises NotFittable where it is too early or too late to fit.
    """
    held = Job.objects.select_for_update().get(pk=job.pk)
    if held.stage not in MAY_BE_FITTED:
        raise NotFittable(
            _("Job {number} is {stage}: nothing can be fitted now.").format(
                number=held.number, stage=held.get_stage_display()
            )
        )
    return held
