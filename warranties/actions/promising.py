"""A promise is opened with the proof, and its certificate written down at the handing over."""

from datetime import datetime

from django.db import transaction

from customers.actions import keep_words
from jobs.models import Job, Offer, Proof
from shared.checkdigits import certificate_number
from shared.models import Counter, User
from shared.pdf import keep_printed
from warranties.actions import planning, terming
from warranties.certificate import certificate_record, printed
from warranties.models import Certificate, Promise

OPENING_KINDS = ("fitting", "extension")


@transaction.atomic
def open_promise(*, job: Job, proof: Proof, at: datetime) -> Promise | None:
    """Open the promise for a proved job, or widen the one that the home has.

    None for jobs that close no ring (a paid check or repair): they open no promise of their own.
    """
    if job.kind not in OPENING_KINDS:
        return None
    standing = Promise.objects.standing().filter(home=job.home_id, holder=job.household_id).first()
    if standing:
        return _extend(standing, job, proof, at)
    language, shown_at = _shown(job, at)
    terms = terming.terms_for(paper="promise", language=language, shown_at=shown_at, at=at)
    day = at.astimezone(job.home.tz).date()
    promise = Promise.objects.create(
        number=next_number(day.year),
        home=job.home,
        holder=job.household,
        job=job,
        terms=terms,
        basis=terms.basis,
        starts_on=day,
        exceptions=proof.exceptions,
    )
    promise.changes.create(at=at, kind="opened", reason=f"Job {job.number} proved.")
    planning.open_check_plan(home=job.home, holder=job.household, shown_at=shown_at, at=at)
    keep_words(home=job.home)
    return promise


def promise_of(job: Job) -> Promise | None:
    """The promise that a job opened or widened. One query."""
    return (
        Promise.objects.standing()
        .filter(home=job.home_id, holder=job.household_id)
        .order_by("-pk")
        .first()
    )


@transaction.atomic
def issue_certificate(
    *, promise: Promise, at: datetime, reason: str = "", by: User | None = None
) -> Certificate:
    """Write down the promise's next certificate; the one before is marked as replaced.

    The PDF is not made here but by `print_out`, outside any transaction.
    """
    Promise.objects.select_for_update().get(pk=promise.pk)
    last = promise.certificates.first()
    promise.certificates.current().update(replaced_at=at)
    edition = last.edition + 1 if last else 1
    certificate = promise.certificates.create(
        edition=edition,
        record=certificate_record(promise=promise, edition=edition, at=at),
        issued_at=at,
    )
    said = f"Edition {edition}. {reason}".strip()[:500]
    promise.changes.create(at=at, kind="issued", reason=said, by=by)
    return certificate


def print_out(*, certificate: Certificate) -> Certificate:
    """Make the PDF from the record and keep it with its sha256. Twice makes it once.

    Never inside a transaction: it takes longer than a database should be held.
    """
    if not certificate.sha256:
        pdf = printed(certificate.record).pdf
        keep_printed(certificate, name="certificate.pdf", pdf=pdf)
    return certificate


def next_number(year: int) -> str:
    """Return the next promise number of that year, check digits included."""
    return certificate_number(year, Counter.objects.take(f"promises {year}"))


def _extend(promise: Promise, job: Job, proof: Proof, at: datetime) -> Promise:
    promise.exceptions = "\n".join(filter(None, (promise.exceptions, proof.exceptions)))
    promise.save()
    promise.changes.create(at=at, kind="extended", reason=f"Job {job.number} proved.")
    return promise


def _shown(job: Job, at: datetime) -> tuple[str, datetime]:
    """In which language the household had the terms before it, and when: shown, else agreed."""
    offer = Offer.objects.filter(job=job, state="agreed").first()
    if offer is None:
        return job.household.language, at
    return offer.language, offer.warranty_shown_at or offer.agreed_at or at
