"""What jobs adds to the tray and to the pages about a home."""

from typing import Any

from customers import sheet, story
from customers.finding import register_words
from customers.models import Home
from jobs import tray
from jobs.models import Job, Proof
from jobs.story import jobs_of, proofs_of


def connect() -> None:
    """Connect the receivers. Called once when Django is ready."""
    tray.register(tray.waiting_jobs)
    tray.register(tray.waiting_money)
    story.register(jobs_of)
    story.register(proofs_of)
    register_words(numbers)
    sheet.register(place="state", template="jobs/_state_of_home.html", facts=newest_proof)
    sheet.register(place="acts", template="jobs/_acts_of_home.html", facts=open_jobs)


def numbers(home: Home) -> list[str]:
    """The job numbers by which a home is found."""
    return list(Job.objects.filter(home=home).values_list("number", flat=True))


def newest_proof(home: Home) -> dict[str, Any]:
    proofs = Proof.objects.filter(job__home=home).select_related("job").order_by("-proved_at")
    return {"proof": proofs.first()}


def open_jobs(home: Home) -> dict[str, Any]:
    return {"open_jobs": Job.objects.open().filter(home=home).order_by("pk")}
