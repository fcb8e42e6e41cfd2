"""The proof that a home is closed, and handing it over."""

from datetime import date, datetime

from django.db import transaction
from django.db.models import Count
from django.utils.translation import gettext as _

from customers.actions.planning import keep_as_fitted
from customers.plan.contacts import check_plan
from customers.plan.document import PlanDocument
from jobs.actions.fitting import HAS_A_RING, NotFittable, plan_as_fitted
from jobs.models import Job, Proof
from jobs.signals import job_handed_over, job_proved
from shared.models import User
from shared.refusals import Refused

WAYS_NAMED = 5


class NotProvable(Refused):
    """The proof cannot be given as things stand. The message is fit to show a person."""


class NotHandedOver(Refused):
    """The job cannot be handed over as it stands. The message is fit to show a person."""


def missing_for_proof(job: Job, *, on: date) -> list[str]:
    """Return what stands against a proof, each as a sentence; nothing where it can be given."""
    try:
        document = plan_as_fitted(job)
    except NotFittable as unreadable:
        return [str(unreadable)]
    return [*_of_details(job), *(_of_ring(document, on) if document and _makes_a_ring(job) else [])]


def _makes_a_ring(job: Job) -> bool:
    return job.kind in HAS_A_RING


def _of_details(job: Job) -> list[str]:
    details = list(job.fitted_details.annotate(shots=Count("photos")).order_by("pk"))
    if not details and _makes_a_ring(job):
        return [_("Nothing is marked as fitted.")]
    bare = [each for each in details if not each.shots]
    unsound = [each for each in details if each.state != "sound"]
    return [
        *(_("No photograph yet: {detail}.").format(detail=each) for each in bare),
        *(f"{each}: {each.get_state_display()}." for each in unsound),
    ]


def _of_ring(document: PlanDocument, on: date) -> list[str]:
    ring = check_plan(document, on=on)
    return [
        *(_("The plan: {problem}").format(problem=each) for each in ring.problems),
        *(
            _("A way in is open: {way}.").format(way=way.said(_))
            for way in ring.ways_in[:WAYS_NAMED]
        ),
    ]


@transaction.atomic
def prove(*, job: Job, by: User, at: datetime, exceptions: str = "") -> Proof:
    """Keep the proof, with the plan as fitted. The promise is opened in the same transaction.

    Raises NotProvable, which says all that is missing.
    """
    held = Job.objects.select_for_update().select_related("home").get(pk=job.pk)
    if held.stage != "fitted":
        raise NotProvable(
            _("Job {number} is {stage}: a proof follows a finished fitting.").format(
                number=held.number, stage=held.get_stage_display()
            )
        )
    if missing := missing_for_proof(held, on=at.astimezone(held.home.tz).date()):
        raise NotProvable(" ".join(missing))
    document = plan_as_fitted(held)
    proof = Proof.objects.create(
        job=held,
        proved_at=at,
        proved_by=by,
        plan=document.to_json() if document else {},
        exceptions=exceptions,
    )
    if document:
        keep_as_fitted(home=held.home, document=document, by=by, at=at)
    held.stage = "proved"
    held.save(update_fields=["stage"])
    job.refresh_from_db()
    job_proved.send(Job, job=job, proof=proof, at=at)
    return proof


@transaction.atomic
def hand_over(*, job: Job, at: datetime) -> None:
    """Hand the work to the household. The certificate is issued in the same transaction."""
    held = Job.objects.select_for_update().select_related("home").get(pk=job.pk)
    if held.stage == "handed-over":
        raise NotHandedOver(_("Job {number} is handed over already.").format(number=held.number))
    if held.stage != "proved" or not Proof.objects.filter(job=held).exists():
        raise NotHandedOver(
            _("Job {number} has no proof yet: prove the ring first.").format(number=held.number)
        )
    held.stage = "handed-over"
    held.handed_over_on = at.astimezone(held.home.tz).date()
    held.save(update_fields=["stage", "handed_over_on"])
    job.refresh_from_db()
    job_handed_over.send(Job, job=job, at=at)
