"""A promise for each scratch job, for measuring, its callback, and the words that find its home."""

from collections.abc import Sequence
from datetime import UTC, datetime, time

from django.db import transaction
from django.utils.timezone import localdate

from customers.folding import find_words
from customers.models import FindWord
from jobs.models import FittedDetail, Job
from shared.checkdigits import certificate_number
from warranties.models import SEAL_CAUSES, Callback, Promise, Terms

PLACED_EVERY = 2  # of so many callbacks one names the detail that opened


@transaction.atomic
def fill_promises(jobs: Sequence[Job], under: Terms) -> None:
    """Make a promise in force for each job, its callbacks closed; find homes by both numbers."""
    promises = Promise.objects.bulk_create(
        Promise(
            number=certificate_number(job.asked_on.year, job.pk),
            home_id=job.home_id,
            holder_id=job.household_id,
            job=job,
            terms=under,
            basis="home",
            starts_on=job.asked_on,
        )
        for job in jobs
    )
    Callback.objects.bulk_create(_callbacks(promises))
    FindWord.objects.bulk_create(
        [
            FindWord(home_id=job.home_id, word=word.encode(), street_order=job.home.street_order)
            for job, promise in zip(jobs, promises, strict=True)
            for word in find_words(job.number, promise.number)
        ],
        ignore_conflicts=True,  # a year may also be the end of a phone number
    )


def _callbacks(promises: Sequence[Promise]) -> list[Callback]:
    """One for each job that cost something after it was done, two thirds on from then to today."""
    called = [each for each in promises if each.job and each.job.promise_cost]
    details = FittedDetail.objects.filter(job__in=[each.job_id for each in called])
    by_job = dict(details.filter(mark="leg-2").values_list("job", "pk"))
    found = []
    for number, promise in enumerate(called):
        day = promise.starts_on + (localdate() - promise.starts_on) * 2 / 3
        at = datetime.combine(day, time(17), UTC)
        found.append(
            Callback(
                promise=promise,
                number=f"CB-{promise.number}",
                reported_at=at,
                report="A strip rattles.",
                cause=SEAL_CAUSES[number % len(SEAL_CAUSES)],
                detail_id=None if number % PLACED_EVERY else by_job.get(promise.job_id or 0),
                findings="A joint is open.",
                decision="covered",
                reason="Our seal.",
                remedy="Sealed anew.",
                found_at=at,
                decided_at=at,
                closed_at=at,
            )
        )
    return found
