"""Material and hours, for the fitting or for keeping its promise."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext as _

from jobs.models import Cost, Crew, Job
from jobs.models.job import BEFORE_AGREEMENT
from jobs.pricing import line_amount
from shared.fields import MOST_MONEY
from shared.models import User
from shared.refusals import Refused

MOST_HOURS = Decimal(100)  # Of a whole crew on one day.
NO_FITTING = (*BEFORE_AGREEMENT, "declined", "cancelled")
SAME = ("kind", "reason", "reference", "text", "quantity", "unit_cost", "lot", "on", "by")


class NotCounted(Refused):
    """The cost cannot be booked so. The message is fit to show a person."""


@dataclass(frozen=True, kw_only=True)
class Material:
    """What was used up. `unit_cost` is what one of it costs the firm."""

    text: str
    quantity: Decimal
    unit_cost: Decimal
    lot: str = ""


@transaction.atomic
def add_material(
    *, job: Job, material: Material, on: date, by: User, callback: str = "", again: bool = False
) -> Cost:
    """Book material on the job; with a callback's number, as a cost of keeping its promise.

    What is booked for that day to the letter is refused, unless somebody says that it is `again`.
    """
    if not material.text.strip():
        raise NotCounted(_("Say what was used."))
    if material.quantity <= 0 or material.unit_cost < 0:
        raise NotCounted(_("The quantity is more than zero, the cost of one is not below zero."))
    return _booked(
        Cost(
            job=job,
            kind="material",
            text=material.text.strip(),
            quantity=material.quantity,
            unit_cost=material.unit_cost,
            lot=material.lot,
            on=on,
            by=by,
        ),
        callback,
        again=again,
    )


@transaction.atomic
def add_hours(  # noqa: PLR0913  # who, how long, when, for what; and whether twice
    *,
    job: Job,
    hours: Decimal,
    crew: Crew,
    on: date,
    by: User,
    callback: str = "",
    again: bool = False,
) -> Cost:
    """Book a crew's hours on the job at what an hour of that crew costs; `again` as above."""
    if not 0 < hours <= MOST_HOURS:
        raise NotCounted(_("Hours are more than zero and at most {most}.").format(most=MOST_HOURS))
    return _booked(
        Cost(
            job=job,
            kind="labour",
            text=f"Hours of {crew}",
            quantity=hours,
            unit_cost=crew.hourly_cost,
            on=on,
            by=by,
        ),
        callback,
        again=again,
    )


@transaction.atomic
def take_back(*, cost: Cost) -> None:
    """Remove a cost that was booked by mistake; its history stays."""
    if cost.job.stage == "handed-over" and cost.reason == "fitting":
        raise NotCounted(_("The job is handed over: its costs stand."))
    cost.delete()
    Job.objects.filter(pk=cost.job_id).recount()


def _booked(cost: Cost, callback: str, *, again: bool) -> Cost:
    job = Job.objects.select_for_update().get(pk=cost.job_id)
    if not callback:
        _refuse_unless_fitting(job)
    cost.reason = "promise" if callback else "fitting"
    cost.reference = callback
    cost.amount = line_amount(cost.quantity, cost.unit_cost)
    if not again and job.costs.filter(**{name: getattr(cost, name) for name in SAME}).exists():
        raise NotCounted(_("The same is booked for that day already. Was there as much again?"))
    if job.earned.cost + cost.amount > MOST_MONEY:
        raise NotCounted(_("That is more than can be booked: look at the numbers."))
    cost.save()
    Job.objects.filter(pk=job.pk).recount()
    return cost


def _refuse_unless_fitting(job: Job) -> None:
    if job.stage in NO_FITTING:
        raise NotCounted(
            _("Job {number} is {stage}: no costs of a fitting go on it now.").format(
                number=job.number, stage=job.get_stage_display()
            )
        )
