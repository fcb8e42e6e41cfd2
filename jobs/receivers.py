"""What jobs adds to the tray and to the pages about a home."""

from typing import Any

from customers import sheet, story
from customers.models import Home
from jobs import tray
from jobs.models import Job
from jobs.story import jobs_of, proofs_of


def connect() -> None:
    """Connect the receivers. Called once when Django is ready."""
    tray.register(tray.waiting_jobs)
    tray.register(tray.waiting_money)
    story.register(jobs_of)
    story.register(proofs_of)
    sheet.register(place="acts", template="jobs/_acts_of_home.html", facts=open_jobs)


def open_jobs(home: Home) -> dict[str, Any]:
    return {"open_jobs": Job.objects.open().filter(home=home).order_by("pk")}
