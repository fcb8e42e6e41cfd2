"""The tray: all that waits for a hand, as sentences that each end in a verb.

Every app adds its own by `register`. A source gets the moment and returns what waits, in a number
of queries that does not grow with the rows. Whoever may see the tray may see all of it.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import F, OuterRef, Prefetch, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce
from django.urls import reverse
from django.utils.formats import date_format

from jobs.holds import refund_due_on
from jobs.models import Booking, Job, Offer, Payment
from jobs.models.job import sum_of
from jobs.pricing import NOTHING, balance_due, offer_totals
from shared.firm import money_said

MOST = 200  # of each kind: who has more waits for more hands, not for a longer page
PATIENCE = timedelta(days=7)
LOOKED_BACK = timedelta(days=730)


@dataclass(frozen=True, slots=True)
class Waiting:
    """`text`: a sentence so far, `verb`: how it ends and what its link says."""

    text: str
    verb: str
    address: str
    since: date
    overdue: bool = False


Source = Callable[[datetime], Iterable[Waiting]]
_sources: list[Source] = []


def register(source: Source) -> Source:
    """Add what another app has waiting. Adding it twice changes nothing."""
    if source not in _sources:
        _sources.append(source)
    return source


def waiting(now: datetime) -> list[Waiting]:
    """All that waits: what is overdue first, then the oldest."""
    everything = [each for source in _sources for each in source(now)]
    return sorted(everything, key=lambda each: (not each.overdue, each.since, each.text))


def ago(day: date, today: date) -> str:
    """The day as one says it: today, yesterday, 3 days ago, on March 2."""
    days = (today - day).days
    if days in {0, 1}:
        return ("today", "yesterday")[days]
    far = 14
    return f"{days} days ago" if 1 < days <= far else f"on {date_format(day, 'j F Y')}"


# Jobs.


def with_steps(jobs: QuerySet[Job]) -> QuerySet[Job]:
    """Load what `next_step` looks at: two queries more, however many jobs."""
    return jobs.select_related("home").prefetch_related(
        Prefetch("bookings", Booking.objects.standing()), "offers"
    )


def waiting_jobs(now: datetime) -> list[Waiting]:
    """What waits for the office in open jobs. Three queries."""
    jobs = with_steps(Job.objects.open().order_by("asked_on", "pk"))[:MOST]
    return [step for job in jobs if (step := next_step(job, now))]


def next_step(job: Job, now: datetime) -> Waiting | None:
    """What the office should do next for an open job; None where it is somebody else's turn."""
    rule = _RULES.get(job.stage)
    return rule(job, now) if rule else None


def _asked(job: Job, now: datetime) -> Waiting | None:
    visit = _last_visit(job, "measure")
    if visit is None:
        text = f"{job.home.street} asked {ago(job.asked_on, _today(job, now))}"
        return _step(text, "book the measuring", _diary(job), job.asked_on)
    if visit.ends_at > now:
        return None
    day = visit.starts_at.astimezone(job.home.tz).date()
    text = f"{job.home.street} was to be measured {ago(day, _today(job, now))}"
    return _step(text, "record it", job.get_absolute_url(), day, overdue=True)


def _measured(job: Job, now: datetime) -> Waiting | None:
    measured_on = job.measured_on or job.asked_on
    draft = _offer(job, "draft")
    if draft:
        text = f"The offer for {job.home.street} is a draft"
        return _step(text, "send it", draft.get_absolute_url(), measured_on)
    text = f"{job.home.street} was measured {ago(measured_on, _today(job, now))}"
    return _step(text, "make the offer", job.get_absolute_url(), measured_on)


def _priced(job: Job, now: datetime) -> Waiting | None:
    today, sent = _today(job, now), _offer(job, "sent")
    if sent is None:
        if _offer(job, "draft"):
            return _measured(job, now)
        text = f"{job.home.street} declined the offer"
        return _step(text, "make another or close the job", job.get_absolute_url(), job.asked_on)
    address = sent.get_absolute_url()
    if sent.valid_until < today:
        text = f"The offer for {job.home.street} ended {ago(sent.valid_until, today)}"
        return _step(text, "replace it", address, sent.valid_until, overdue=True)
    if today - sent.made_on >= PATIENCE:
        text = (
            f"The offer for {job.home.street} of {date_format(sent.made_on, 'j F')} has no answer"
        )
        return _step(text, "ask them", address, sent.made_on)
    return None


def _agreed(job: Job, now: datetime) -> Waiting | None:
    agreed_on = job.agreed_on or job.asked_on
    text = f"The offer for {job.home.street} was agreed {ago(agreed_on, _today(job, now))}"
    return _step(text, "book it", _diary(job), agreed_on)


def _booked(job: Job, now: datetime) -> Waiting | None:
    visit = _last_visit(job, "fitting")
    if visit is None or visit.ends_at > now:
        return None
    day = visit.starts_at.astimezone(job.home.tz).date()
    text = f"{job.home.street} was to be fitted {ago(day, _today(job, now))}"
    return _step(text, "ask the crew or move the visit", _visit(visit), day, overdue=True)


def _fitted(job: Job, now: datetime) -> Waiting | None:
    fitted_on = job.fitted_on or job.asked_on
    text = f"{job.home.street} was fitted {ago(fitted_on, _today(job, now))} and has no proof"
    return _step(text, "look at the job", job.get_absolute_url(), fitted_on)


def _proved(job: Job, now: datetime) -> Waiting | None:
    fitted_on = job.fitted_on or job.asked_on
    text = f"{job.home.street}, fitted {ago(fitted_on, _today(job, now))}, is proved"
    return _step(text, "ask the crew to hand it over", job.get_absolute_url(), fitted_on)


_RULES: dict[str, Callable[[Job, datetime], Waiting | None]] = {
    "asked": _asked,
    "measured": _measured,
    "priced": _priced,
    "agreed": _agreed,
    "booked": _booked,
    "fitted": _fitted,
    "proved": _proved,
}


def _step(text: str, verb: str, address: str, since: date, *, overdue: bool = False) -> Waiting:
    return Waiting(text, verb, address, since, overdue)


def _today(job: Job, now: datetime) -> date:
    return now.astimezone(job.home.tz).date()


def _offer(job: Job, state: str) -> Offer | None:
    return next((offer for offer in job.offers.all() if offer.state == state), None)


def _last_visit(job: Job, purpose: str) -> Booking | None:
    visits = [
        visit
        for visit in job.bookings.all()
        if visit.purpose == purpose and visit.cancelled_at is None
    ]
    return max(visits, key=lambda visit: visit.starts_at, default=None)


def _diary(job: Job) -> str:
    return f"{reverse('diary')}?job={job.number}#book"


def _visit(visit: Booking) -> str:
    return reverse("visit", args=[visit.pk])


# Money.


def waiting_money(now: datetime) -> list[Waiting]:
    """What households still owe for finished work, and what we owe them back. Two queries."""
    paid = sum_of(Payment.objects.filter(job=OuterRef("pk")), "job")
    jobs = Job.objects.select_related("home").annotate(paid=paid)
    since = now.date() - LOOKED_BACK
    finished = (
        jobs.filter(stage="handed-over", fitted_on__gte=since)
        .exclude(source="import")  # paid elsewhere, long ago
        .annotate(
            tax_rate=Subquery(
                Offer.objects.filter(job=OuterRef("pk"), state="agreed").values("tax_rate")[:1]
            ),
        )
        .filter(paid__lt=F("revenue") * (1 + Coalesce(F("tax_rate"), Value(NOTHING))))
        .order_by("handed_over_on", "pk")
    )
    closed = jobs.filter(stage__in=("cancelled", "declined"), closed_on__gte=since, paid__gt=0)
    return [
        *(step for job in finished[:MOST] if (step := _owed(job, now))),
        *(_owed_back(job, now) for job in closed.order_by("closed_on", "pk")[:MOST]),
    ]


def _paid(job: Job) -> Decimal:
    row: Any = job  # annotated by waiting_money
    return row.paid


def _total(job: Job) -> Decimal:
    row: Any = job  # annotated by waiting_money
    return offer_totals([job.revenue], tax_rate=row.tax_rate or NOTHING).total


def _owed(job: Job, now: datetime) -> Waiting | None:
    owed = balance_due(_total(job), [_paid(job)])
    if owed <= 0:
        return None
    day = job.handed_over_on or job.asked_on
    overdue = _today(job, now) - day >= PATIENCE
    text = f"{job.home.street} was handed over {ago(day, _today(job, now))} and owes "
    return _step(text + money_said(owed), "ask for it", _payments(job), day, overdue=overdue)


def _owed_back(job: Job, now: datetime) -> Waiting:
    day = job.closed_on or job.asked_on
    last = refund_due_on(day)
    money = money_said(_paid(job))
    text = f"{job.home.street} called off: {money} is theirs by {date_format(last, 'j F')}"
    return _step(text, "pay it back", _payments(job), day, overdue=_today(job, now) > last)


def _payments(job: Job) -> str:
    return f"{job.get_absolute_url()}#payments"
