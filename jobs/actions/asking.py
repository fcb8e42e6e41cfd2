"""A household asks for work; the work is measured, or it comes to nothing."""

from datetime import date, datetime

from django.db import transaction

from customers.actions import keep_words
from customers.actions.planning import freeze_survey
from customers.models import Home, Household
from jobs.actions import booking
from jobs.actions.taking import take
from jobs.models import Job
from jobs.models.job import BEFORE_AGREEMENT, BEFORE_FITTING
from jobs.models.offer import OPEN
from shared.models import Counter
from shared.refusals import Refused


class NotOnThisStage(Refused):
    """The job has gone another way meanwhile."""


@transaction.atomic
def ask(
    *, home: Home, household: Household, kind: str, source: str, on: date, wish: str = ""
) -> Job:
    """Open a job under the next number of the year.

    Refuses the same enquiry a second time on its day: a second click.
    """
    serial = Counter.objects.take(f"job {on.year}")  # whoever clicked twice waits here
    asked = {"home": home, "household": household, "kind": kind, "wish": wish, "asked_on": on}
    if same := Job.objects.filter(stage="asked", **asked).first():
        raise NotOnThisStage(f"Job {same.number} of this day asks for the same.")
    job = Job.objects.create(number=f"{on.year}-{serial:04d}", source=source, **asked)
    keep_words(home=home)
    return job


@transaction.atomic
def measure(*, job: Job, on: date) -> None:
    """Record that the home was measured, and close its plan as surveyed.

    Refuses a day before the household asked.
    """
    if on < job.asked_on:
        raise NotOnThisStage(f"The household asked on {job.asked_on:%-d %B %Y}, not before.")
    if not take(job, among=("asked",), stage="measured", measured_on=on):
        raise NotOnThisStage(f"Job {job.number} is {job.get_stage_display()}.")
    freeze_survey(home=job.home, on=on)


@transaction.atomic
def decline(*, job: Job, reason: str, at: datetime) -> None:
    """The household does not want the work. Its open offers are declined with it."""
    if not _closed(job, "declined", among=BEFORE_AGREEMENT, reason=reason, at=at):
        raise NotOnThisStage(
            f"Job {job.number} is {job.get_stage_display()}: only a job without an agreement can "
            "be declined."
        )
    for offer in job.offers.open():
        take(offer, among=OPEN, state="declined")


@transaction.atomic
def cancel(*, job: Job, reason: str, at: datetime) -> None:
    """Call an agreed job off before it is fitted."""
    if not _closed(job, "cancelled", among=BEFORE_FITTING, reason=reason, at=at):
        raise NotOnThisStage(
            f"Job {job.number} is {job.get_stage_display()}: only an agreed or booked job can be "
            "cancelled."
        )


def _closed(job: Job, stage: str, *, among: tuple[str, ...], reason: str, at: datetime) -> bool:
    """Close the job where it stands among these stages; its visits leave the diary."""
    closed_on = at.astimezone(job.home.tz).date()
    if not take(job, among=among, stage=stage, closed_on=closed_on, closed_reason=reason):
        return False
    for visit in job.bookings.standing().filter(done_at=None).select_related("home", "job"):
        booking.cancel(booking=visit, at=at)
    return True
