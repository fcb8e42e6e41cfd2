"""A fitted job with offer, details, costs and payment for each scratch home, for measuring."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import NamedTuple

from django.db import transaction

from customers.models import Ownership
from customers.plan.document import SURFACES
from customers.plan.facing import QUARTERS
from jobs.models import Cost, Crew, FittedDetail, Job, Offer, OfferLine, Payment, PriceBook

CREWS = 8
APART = 37  # days between neighbours in the list
LONGEST_DAYS = 3_650
SOURCES = ("neighbour", "web", "sign", "builder", "event", "other")
STRIP_PRICE, STRIP_COST = Decimal(24), Decimal("7.50")
HOURS, HOUR_COST = Decimal(9), Decimal(38)
ONE_CALLED_BACK_IN = 20
CALLBACK_COST = Decimal("95.00")
COLLARS = 2  # at the second wall; a strip at each


class Ground(NamedTuple):
    """What all scratch jobs stand on."""

    book: PriceBook
    crews: list[Crew]
    today: date
    days: int


def ground(today: date, homes: int) -> Ground:
    """A small firm is young, a large one ten years old: each fits more than a page a month."""
    days = min(LONGEST_DAYS, 500 + homes // 25)
    book = PriceBook.objects.create(name="For measuring", valid_from=today - timedelta(days=days))
    crews = Crew.objects.bulk_create(
        Crew(name=f"Measuring crew {number}", hourly_cost=HOUR_COST) for number in range(CREWS)
    )
    return Ground(book, crews, today, days)


@transaction.atomic
def fill_jobs(ownerships: Sequence[Ownership], on: Ground, *, first: int) -> list[Job]:
    """Make one handed-over job a home, with all that the ledger sums.

    The homes count from `first` on, so that every database is filled alike, whatever its keys.
    """
    jobs = Job.objects.bulk_create(
        _job(number, each, on) for number, each in enumerate(ownerships, start=first)
    )
    offers = Offer.objects.bulk_create(_offer(job, on) for job in jobs)
    OfferLine.objects.bulk_create(
        OfferLine(
            offer=offer,
            position=1,
            code="strip-glass",
            text="Strip, glass",
            quantity=job.revenue / STRIP_PRICE,
            unit="ft",
            unit_price=STRIP_PRICE,
            unit_cost=STRIP_COST,
            amount=job.revenue,
        )
        for job, offer in zip(jobs, offers, strict=True)
    )
    FittedDetail.objects.bulk_create(
        detail for number, job in enumerate(jobs, start=first) for detail in _details(number, job)
    )
    Cost.objects.bulk_create(cost for job in jobs for cost in _costs(job))
    Payment.objects.bulk_create(
        Payment(job=job, kind="balance", way="card", amount=job.revenue, received_on=fitted_on)
        for job in jobs
        if (fitted_on := job.fitted_on)
    )
    return jobs


def _job(number: int, owned: Ownership, on: Ground) -> Job:
    fitted_on = on.today - timedelta(days=number * APART % on.days)
    feet = 120 + number % 80
    return Job(
        number=f"{fitted_on.year}-{number:06d}",
        home=owned.home,
        household=owned.household,
        source=SOURCES[number % len(SOURCES)],
        stage="handed-over",
        crew=on.crews[number % CREWS],
        asked_on=fitted_on - timedelta(days=30),
        measured_on=fitted_on - timedelta(days=21),
        agreed_on=fitted_on - timedelta(days=14),
        fitted_on=fitted_on,
        handed_over_on=fitted_on,
        revenue=feet * STRIP_PRICE,
        materials=feet * STRIP_COST,
        labour=HOURS * HOUR_COST,
        promise_cost=Decimal(0) if number % ONE_CALLED_BACK_IN else CALLBACK_COST,
    )


def _offer(job: Job, on: Ground) -> Offer:
    assert job.agreed_on is not None, "a scratch job is agreed"  # noqa: S101
    return Offer(
        job=job,
        number=f"{job.number}-A",
        book=on.book,
        state="agreed",
        made_on=job.agreed_on,
        valid_until=job.agreed_on + timedelta(days=30),
        agreed_at=datetime.combine(job.agreed_on, time(18), UTC),
        agreed_by=job.household.name,
        agreed_how="paper",
    )


def _details(number: int, job: Job) -> list[FittedDetail]:
    assert job.fitted_on is not None, "a scratch job is fitted"  # noqa: S101
    turned = number % len(QUARTERS)
    sides = [*QUARTERS[turned:], *QUARTERS[:turned]]
    places = [(f"leg-{n}", "strip-glass", side) for n, side in enumerate(sides, start=1)]
    places += [(f"pipe-{n}/house", "collar", sides[1]) for n in range(1, COLLARS + 1)]
    return [
        FittedDetail(
            job=job,
            mark=mark,
            code=code,
            place=mark,
            lot=f"L{job.fitted_on:%y%m}",
            surface=SURFACES[number % len(SURFACES)],
            exposure=side,
            fitted_at=datetime.combine(job.fitted_on, time(17), UTC),
        )
        for mark, code, side in places
    ]


def _costs(job: Job) -> list[Cost]:
    spent = [
        ("material", "fitting", "Strip, glass", job.materials),
        ("labour", "fitting", "Fitting", job.labour),
        ("labour", "promise", "Callback", job.promise_cost),
    ]
    return [
        Cost(
            job=job,
            kind=kind,
            reason=reason,
            text=text,
            quantity=1,
            unit_cost=amount,
            amount=amount,
            on=fitted_on,
        )
        for kind, reason, text, amount in spent
        if amount and (fitted_on := job.fitted_on)
    ]
