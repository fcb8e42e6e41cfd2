"""What jobs tells in a home's story: asked, agreed, fitted, handed over, called off."""

from collections.abc import Iterable
from datetime import date, datetime, time

from customers.models import Home
from customers.story import StoryEntry
from jobs.models import Job, Proof


def jobs_of(home: Home) -> Iterable[StoryEntry]:
    """One query."""
    for job in Job.objects.filter(home=home).order_by("pk"):
        kind, address = job.get_kind_display(), job.get_absolute_url()
        for day, text in (
            (job.asked_on, f"Asked for: {kind} (job {job.number})."),
            (job.measured_on, f"Measured for job {job.number}."),
            (job.agreed_on, f"Offer of job {job.number} agreed."),
            (job.fitted_on, f"Fitted, job {job.number}."),
            (job.handed_over_on, f"Handed over, job {job.number}."),
            (job.closed_on, f"Job {job.number} {job.get_stage_display()}."),
        ):
            if day:
                yield StoryEntry(_at(day, home), text, address, "job")


def proofs_of(home: Home) -> Iterable[StoryEntry]:
    """One query."""
    for proof in Proof.objects.filter(job__home=home).select_related("job"):
        text = f"Proved, job {proof.job.number}: nothing was open."
        if proof.exceptions:
            text += f" Left out: {proof.exceptions}"
        yield StoryEntry(proof.proved_at, text, proof.job.get_absolute_url(), "proof")


def _at(day: date, home: Home) -> datetime:
    return datetime.combine(day, time(), home.tz)
