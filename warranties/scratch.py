"""A promise for each scratch job, for measuring, and the words by which its home is found."""

from collections.abc import Sequence

from django.db import transaction

from customers.folding import find_words
from customers.models import FindWord
from jobs.models import Job
from shared.checkdigits import certificate_number
from warranties.models import Promise, Terms


@transaction.atomic
def fill_promises(jobs: Sequence[Job], under: Terms) -> None:
    """Make a promise in force for each job; find the homes by both numbers."""
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
    FindWord.objects.bulk_create(
        [
            FindWord(home_id=job.home_id, word=word.encode(), street_order=job.home.street_order)
            for job, promise in zip(jobs, promises, strict=True)
            for word in find_words(job.number, promise.number)
        ],
        ignore_conflicts=True,  # a year may also be the end of a phone number
    )
