"""What jobs tells in a home's story: asked, agreed, fitted, handed over, called off."""

from collections.abc import Iterable
from datetime import date, datetime, time

from django.utils.translation import gettext as _

from customers.models import Home
from customers.story import StoryEntry
from jobs.models import Job, Proof


def jobs_of(home: Home) -> Iterable[StoryEntry]:
    """One query."""
    for job in Job.objects.filter(home=home).order_by("pk"):
        kind, address = job.get_kind_display(), job.get_absolute_url()
        for day, text in (
            (job.asked_on, _("Asked for: {kind} (job {number}).")),
            (job.measured_on, _("Measured for job {number}.")),
            (job.agreed_on, _("Offer of job {number} agreed.")),
            (job.fitted_on, _("Fitted, job {number}.")),
            (job.handed_over_on, _("Handed over, job {number}.")),
            (job.closed_on, _("Job {number} {stage}.")),
        ):
            if day:
                said = text.format(number=job.number, kind=kind, stage=job.get_stage_display())
                yield StoryEntry(_at(day, home), said, address, "job")


def proofs_of(home: Home) -> Iterable[StoryEntry]:
    """One query."""
    for proof in Proof.objects.filter(job__home=home).select_related("job"):
        text = _("Proved, job {number}: nothing was open.").format(number=proof.job.number)
        if proof.exceptions:
            text += f" {_('Left out:')} {proof.exceptions}"
        yield StoryEntry(proof.proved_at, text, proof.job.get_absolute_url(), "proof")


def _at(day: date, home: Home) -> datetime:
    return datetime.combine(day, time(), home.tz)
