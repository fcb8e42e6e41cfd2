"""A household asks for work; the work is measured, or it comes to nothing."""

from datetime import date, datetime

from django.db import transaction

from customers.actions import keep_words
from customers.actions.planning import freeze_survey
from customers.models import Home, Household
from jobs.actions import booking
from jobs.actions.taking import take
from jobs.models import Job
from shared.models import Counter
from shared.refusals import Refused

BEFORE_AGREEMENT = ("asked", "measured", "priced")
BEFORE_FITTING = ("agreed", "booked")


class NotOnThisStage(Refused):
    """The job has gone another way meanwhile."""


@transaction.atomic
def ask(
    *, home: Home, household: Household, kind: str, source: str, on: date, wish: str = ""
) -> Job:
    """Open a job under the next number of the year."""
    job = Job.objects.create(
        number=f"{on.year}-{Counter.objects.take(f'job {on.year}'):04d}",
        home=home,
        household=household,
        kind=kind,
        source=source,
        wish=wish,
        asked_on=on,
    )
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
    closed_on = at.astimezone(job.home.tz).date()
    if not take(
        job, among=BEFORE_AGREEMENT, stage="declined", closed_on=closed_on, closed_reason=reason
    ):
        raise NotOnThisStage(
            f"Job {job.number} is {job.get_stage_display()}: only a job without an agreement can "
            "be declined."
        )
    for offer in job.offers.open():
        take(offer, among=("draft", "sent"), state="declined")
    _free_the_diary(job, at)


@transaction.atomic
def cancel(*, job: Job, reason: str, at: datetime) -> None:
    """Call an agreed job off before it is fitted; its visits leave the diary."""
    closed_on = at.astimezone(job.home.tz).date()
    if not take(
        job, among=BEFORE_FITTING, stage="cancelled", closed_on=closed_on, closed_reason=reason
    ):
        raise NotOnThisStage(
            f"Job {job.number} is {job.get_stage_display()}: only an agreed or booked job can be "
            "cancelled."
        )
    _free_the_diary(job, at)


def _free_the_diary(job: Job, at: datetime) -> None:
    for visit in job.bookings.standing().filter(done_at=None).select_related("home", "job"):
        booking.cancel(booking=visit, at=at)
