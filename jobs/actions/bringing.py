"""Work done before this record began, brought in from a table."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Sequence
from datetime import date, datetime, time
from decimal import Decimal

from django.db import models, transaction
from simple_history.utils import bulk_create_with_history

from customers.importing import Arrival
from jobs.models import Job, Offer, OfferLine, PriceBook
from jobs.models.months import months_kept
from shared.models import Counter, User

BEFORE = date(1900, 1, 1)
BEFORE_NAME = "Before our price books"
CODE = "as-agreed-before"
TEXT = "Fitting, as agreed before this record began"

Key = tuple[int, date]


@transaction.atomic
def bring_jobs(*, arrivals: Sequence[Arrival], by: User | None) -> None:
    """Make a handed-over job for each home and day of fitting that has none, with its price.

    A job that was brought in without a price gets it from a later table; nothing else changes.
    """
    done = [arrival for arrival in arrivals if arrival.record.installed_on]
    homes = [arrival.kept[0].pk for arrival in done]
    jobs = _known(homes)
    new: dict[Key, Job] = {}
    prices: dict[Key, Decimal] = {}
    for arrival in done:
        home, household = arrival.kept
        day = arrival.record.installed_on
        if day is None:
            continue
        key = (home.pk, day)
        if key not in jobs:
            jobs[key] = new[key] = _job(arrival, day)
            jobs[key].home, jobs[key].household = home, household
        if arrival.record.price is not None:
            prices.setdefault(key, arrival.record.price)
    _number(list(new.values()))
    with months_kept(Job.objects.filter(home__in=homes)):
        _create(Job, list(new.values()), by)
    _price({jobs[key].pk: (jobs[key], price) for key, price in prices.items()}, by)


def _known(homes: list[int]) -> dict[Key, Job]:
    known = Job.objects.filter(home__in=homes, fitted_on__isnull=False)
    known = known.select_related("home", "household")
    return {(job.home_id, job.fitted_on): job for job in known if job.fitted_on}


def _job(arrival: Arrival, day: date) -> Job:
    return Job(
        kind="fitting",
        source="import",
        stage="handed-over",
        asked_on=day,
        agreed_on=day,
        fitted_on=day,
        handed_over_on=day,
        wish=f"Row {arrival.number} of a table that was brought in.",
    )


def _number(jobs: list[Job]) -> None:
    """Give the jobs the next numbers of their years, in the order of their days."""
    years: dict[int, list[Job]] = defaultdict(list)
    for job in sorted(jobs, key=lambda each: each.asked_on):
        years[job.asked_on.year].append(job)
    for year, of_year in years.items():
        serials = Counter.objects.take_many(f"job {year}", len(of_year))
        for job, serial in zip(of_year, serials, strict=True):
            job.number = f"{year}-{serial:04d}"


def _price(priced: dict[int, tuple[Job, Decimal]], by: User | None) -> None:
    """Give the jobs an agreed offer of one line, where they have no offer yet."""
    offered = set(Offer.objects.filter(job__in=priced).values_list("job", flat=True))
    wanted = [
        (job, price)
        for key, (job, price) in priced.items()
        if key not in offered and job.source == "import"
    ]
    books = _books({job.asked_on for job, _ in wanted})
    offers = [_offer(job, books[job.asked_on]) for job, _ in wanted]
    _create(Offer, offers, by)
    lines = [
        OfferLine(
            offer=offer,
            position=1,
            code=CODE,
            text=TEXT,
            quantity=Decimal(1),
            unit="each",
            unit_price=price,
            amount=price,
        )
        for offer, (_, price) in zip(offers, wanted, strict=True)
    ]
    _create(OfferLine, lines, by)
    Job.objects.filter(pk__in=[job.pk for job, _ in wanted]).recount()


def _offer(job: Job, book: PriceBook) -> Offer:
    noon = datetime.combine(job.asked_on, time(12), job.home.tz)
    return Offer(
        job=job,
        number=f"{job.number}-A",
        book=book,
        state="agreed",
        made_on=job.asked_on,
        valid_until=job.asked_on,
        agreed_at=noon,
        agreed_by=job.household.name,
        note="Agreed before this record began; brought in from a table.",
    )


def _books(days: set[date]) -> dict[date, PriceBook]:
    """Return the price book of each day; before the first there is an empty one. Two queries."""
    books = list(PriceBook.objects.order_by("valid_from"))
    if days and (not books or books[0].valid_from > min(days)):
        books.insert(0, PriceBook.objects.create(valid_from=BEFORE, name=BEFORE_NAME))
    starts = [book.valid_from for book in books]
    return {day: books[bisect_right(starts, day) - 1] for day in days}


def _create(model: type[models.Model], rows: Sequence[models.Model], by: User | None) -> None:
    if rows:
        bulk_create_with_history(rows, model, default_user=by)
