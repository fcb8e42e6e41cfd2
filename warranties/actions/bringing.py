"""Promises given before this record began, brought in from a table.

They stand under terms of version 0, "as given before": older than every paper of ours, so that no
new promise is ever given under them. What the table says of the old terms is kept word for word in
the promise's own record.
"""

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta

from django.db import models, transaction
from simple_history.utils import bulk_create_with_history

from customers.importing import Arrival, Record
from customers.importing.fields import LABELS
from jobs.models import Job
from shared.checkdigits import certificate_number
from shared.models import Counter, User
from warranties.actions import terming
from warranties.models import Promise, PromiseChange, Terms

TITLE = "As given before this record began"
BODY = (
    "## What is promised [covers]\n"
    "What the paper says that the household was given then. Its words count, not these."
)
LABEL = LABELS["promise_number"]
LONGEST_REASON = 500
GIVEN = "Given before this record began; brought in from a table."


def check_numbers(*, arrivals: Sequence[Arrival]) -> None:
    """Refuse rows whose promise number stands for another home, or whose home has another."""
    numbered = [arrival for arrival in arrivals if arrival.record.promise_number]
    numbers = {arrival.record.promise_number for arrival in numbered}
    homes = {arrival.record.key for arrival in numbered}
    ours = Promise.objects.filter(
        models.Q(number__in=numbers) | models.Q(home__recognised_by__in=homes)
    ).values_list("number", "home__recognised_by")
    home_of = dict(ours)
    number_of = {home: number for number, home in ours}
    for arrival in numbered:
        number, home = arrival.record.promise_number, arrival.record.key
        if home_of.setdefault(number, home) != home:
            arrival.reasons.append(f"{LABEL}: {number} belongs to another home.")
        elif number_of.setdefault(home, number) != number:
            arrival.reasons.append(f"{LABEL}: the home has {number_of[home]} already.")


@transaction.atomic
def bring_promises(*, arrivals: Sequence[Arrival], at: datetime, by: User | None) -> None:
    """Open a promise for each home that a row says has one, and that has none in our books."""
    given = _first_of_each(arrivals)
    if not given:
        return
    homes = [arrival.kept[0].pk for arrival in given]
    jobs, terms = _jobs(homes), _terms(at)
    new = [(_promise(arrival, terms, at), arrival.record) for arrival in given]
    for promise, record in new:
        promise.job = jobs.get((promise.home_id, record.installed_on))
    promises = [promise for promise, _ in new]
    _number(promises, at.year)
    bulk_create_with_history(promises, Promise, default_user=by)
    PromiseChange.objects.bulk_create(
        PromiseChange(promise=promise, at=at, by=by, kind=kind, reason=reason)
        for promise, record in new
        for kind, reason in _changes(promise, record)
    )


def _first_of_each(arrivals: Sequence[Arrival]) -> list[Arrival]:
    """Return the first promise of each home that has none yet."""
    given = [arrival for arrival in arrivals if arrival.record.promised]
    homes = [arrival.kept[0].pk for arrival in given]
    having = set(Promise.objects.filter(home__in=homes).values_list("home", flat=True))
    first: dict[int, Arrival] = {}
    for arrival, home in zip(given, homes, strict=True):
        if home not in having:
            first.setdefault(home, arrival)
    return list(first.values())


def _jobs(homes: list[int]) -> dict[tuple[int, date | None], Job]:
    """Return the homes' fitted jobs that opened no promise yet."""
    free = Job.objects.filter(home__in=homes, fitted_on__isnull=False, promise=None)
    return {(job.home_id, job.fitted_on): job for job in free}


def _promise(arrival: Arrival, terms: Terms, at: datetime) -> Promise:
    home, household = arrival.kept
    record = arrival.record
    starts_on = record.promised_on or record.installed_on
    if starts_on is None:
        raise ValueError(f"Row {arrival.number} has a promise without a day.")
    until = record.promise_until
    ended = until is not None and until <= at.astimezone(home.tz).date()
    return Promise(
        number=record.promise_number,
        home=home,
        holder=household,
        terms=terms,
        basis=record.promise_basis,
        state="ended" if ended else "in-force",
        starts_on=starts_on,
        ended_on=until if ended else None,
    )


def _terms(at: datetime) -> Terms:
    """Return the terms of version 0, made where they are missing, behind our own drafts."""
    terming.load_drafts(at=at)
    terms, _ = Terms.objects.get_or_create(
        paper="promise",
        version=0,
        language="en",
        defaults={
            "title": TITLE,
            "basis": "home",
            "body": BODY,
            "made_at": at + timedelta(microseconds=1),
        },
    )
    return terms


def _number(promises: list[Promise], year: int) -> None:
    """Give the next numbers of the year to promises whose table has none."""
    bare = [promise for promise in promises if not promise.number]
    serials = Counter.objects.take_many(f"promises {year}", len(bare)) if bare else ()
    for promise, serial in zip(bare, serials, strict=True):
        promise.number = certificate_number(year, serial)


def _changes(promise: Promise, record: Record) -> Iterator[tuple[str, str]]:
    """Yield what the promise's record begins with: the old terms word for word, in pieces."""
    said = GIVEN
    if record.promise_text:
        said += f" Its terms: {record.promise_text}"
    if record.promise_until:
        said += f" It was given until {record.promise_until.isoformat()}."
    for start in range(0, len(said), LONGEST_REASON):
        yield "opened", said[start : start + LONGEST_REASON]
    if promise.ended_on:
        yield "ended", f"Its time was over on {promise.ended_on.isoformat()}."
