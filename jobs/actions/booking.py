"""The diary: a crew at a home from one quarter hour to another, never in two places at once."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from uuid import uuid4

from django.db import IntegrityError, transaction
from django.utils.formats import date_format

from customers.models import Home
from jobs.actions.taking import take
from jobs.models import BookedQuarter, Booking, Crew, Job
from jobs.models.job import BEFORE_FITTING
from jobs.signals import visit_changed
from shared.refusals import Refused

QUARTER = timedelta(minutes=15)
LONGEST = timedelta(hours=16)


class NotBookable(Refused):
    """The visit cannot stand in the diary as asked for."""


class CrewIsTaken(NotBookable):
    """Another visit holds the crew then; `other` is that visit."""

    def __init__(self, other: Booking | None) -> None:
        self.other = other
        super().__init__(
            f"{other.crew} is taken: {in_words(other)}."
            if other
            else "The crew was booked by somebody else at this moment. Please look again."
        )


def in_words(visit: Booking) -> str:
    """The visit as a person says it, in the home's time: purpose, street, day, from, to."""
    start, end = visit.starts_at.astimezone(visit.home.tz), visit.ends_at.astimezone(visit.home.tz)
    return (
        f"{visit.get_purpose_display()} at {visit.home.street}, "
        f"{date_format(start, 'l j F')}, {date_format(start, 'H:i')} to {date_format(end, 'H:i')}"
    )


def quarters(starts_at: datetime, ends_at: datetime) -> Iterator[datetime]:
    """The quarter hours of a visit. Refuses times off the grid, backwards or too long.

    Counted on the world's clock, so that an hour that a zone skips or repeats is no trouble.
    """
    for moment in (starts_at, ends_at):
        if moment.timestamp() % QUARTER.total_seconds():
            raise NotBookable("Visits begin and end on a quarter hour, such as 9:15.")
    if ends_at <= starts_at:
        raise NotBookable("The visit must end after it begins.")
    if ends_at - starts_at > LONGEST:
        raise NotBookable("No visit is longer than 16 hours: book one for each day.")
    count = (ends_at - starts_at) // QUARTER
    return (starts_at + number * QUARTER for number in range(count))


@transaction.atomic
def book(  # noqa: PLR0913  # A visit is who, where, what for, from, to, for which job; and now.
    *,
    crew: Crew,
    home: Home,
    purpose: str,
    starts_at: datetime,
    ends_at: datetime,
    job: Job | None = None,
    at: datetime,
    note: str = "",
) -> Booking:
    """Put a visit into the diary; a fitting moves its job to booked.

    Raises CrewIsTaken where the crew is elsewhere, NotBookable for every other refusal.
    """
    visit = Booking(crew=crew, home=home, job=job, purpose=purpose, note=note, uid=str(uuid4()))
    _set_times(visit, starts_at, ends_at)
    _check(visit, at)
    visit.save()
    _hold_quarters(visit)
    if visit.purpose == "fitting" and visit.job:
        _follow(visit.job, crew)
    visit_changed.send(sender=Booking, booking=visit, change="booked", at=at)
    return visit


@transaction.atomic
def move(
    *,
    booking: Booking,
    starts_at: datetime,
    ends_at: datetime,
    at: datetime,
    crew: Crew | None = None,
) -> None:
    """Move a standing visit to another time or crew. Refuses as `book` does; then nothing moved."""
    crew = crew or booking.crew
    # In the order of their keys, so that two moves across each other wait and do not lock.
    list(Crew.objects.select_for_update().filter(pk__in={crew.pk, booking.crew_id}).order_by("pk"))
    visit = _standing(booking)
    _set_times(visit, starts_at, ends_at)
    visit.crew = crew
    visit.sequence += 1
    _check(visit, at)
    visit.quarters.all().delete()
    _hold_quarters(visit)
    visit.save(update_fields=["starts_at", "ends_at", "crew", "sequence"])
    if visit.purpose == "fitting" and visit.job:
        _follow(visit.job, crew)
    booking.refresh_from_db()
    visit_changed.send(sender=Booking, booking=visit, change="moved", at=at)


@transaction.atomic
def cancel(*, booking: Booking, at: datetime) -> None:
    """Take a visit out of the diary. A job without another fitting goes back to agreed."""
    visit = _standing(booking)
    visit.cancelled_at = at
    visit.sequence += 1
    visit.save(update_fields=["cancelled_at", "sequence"])
    visit.quarters.all().delete()
    job = visit.job if visit.purpose == "fitting" else None
    if job and not job.bookings.standing().filter(purpose="fitting").exists():
        take(job, among=("booked",), stage="agreed", crew=None)
    booking.refresh_from_db()
    visit_changed.send(sender=Booking, booking=visit, change="cancelled", at=at)


def _standing(booking: Booking) -> Booking:
    """The visit as it stands now, locked. Refuses one cancelled or done."""
    rows = Booking.objects.select_related("home", "job__home", "crew")
    visit = rows.select_for_update(of=("self",)).get(pk=booking.pk)
    if visit.cancelled_at:
        raise NotBookable("The visit was cancelled before.")
    if visit.done_at:
        raise NotBookable("The visit is done: it stays as it was.")
    return visit


def _set_times(visit: Booking, starts_at: datetime, ends_at: datetime) -> None:
    """In UTC: between two times of one zone Python would count the wall clock's hours."""
    visit.starts_at, visit.ends_at = starts_at.astimezone(UTC), ends_at.astimezone(UTC)


def _check(visit: Booking, at: datetime) -> None:
    quarters(visit.starts_at, visit.ends_at)
    if visit.ends_at <= at:
        raise NotBookable("That time is over already.")
    if not visit.crew.active:
        raise NotBookable(f"{visit.crew} no longer works.")
    if visit.job and visit.job.home_id != visit.home_id:
        raise NotBookable(f"Job {visit.job.number} is at another home.")
    if visit.purpose == "fitting":
        _check_fitting(visit)


def _check_fitting(visit: Booking) -> None:
    """Refuse a fitting without an agreed job, or within the days in which one may cancel."""
    if visit.job is None:
        raise NotBookable("A fitting is booked for a job: choose the job.")
    if visit.job.stage not in BEFORE_FITTING:
        raise NotBookable(
            f"Job {visit.job.number} is {visit.job.get_stage_display()}: a fitting is booked once "
            "the household has agreed."
        )
    offer = visit.job.offers.filter(state="agreed").first()
    ends = offer.held_until() if offer else None
    if ends and visit.starts_at < ends:
        day = date_format(ends.astimezone(visit.home.tz), "l j F")
        raise NotBookable(
            f"The household may cancel until midnight before {day}: book the fitting from that "
            "day on."
        )


def _hold_quarters(visit: Booking) -> None:
    """Take the crew's quarter hours. The database lets nobody take one twice."""
    rows = [
        BookedQuarter(booking=visit, crew=visit.crew, at=moment)
        for moment in quarters(visit.starts_at, visit.ends_at)
    ]
    try:
        with transaction.atomic():
            BookedQuarter.objects.bulk_create(rows)
    except IntegrityError as error:
        raise CrewIsTaken(_other(visit)) from error


def _other(visit: Booking) -> Booking | None:
    return (
        Booking.objects.standing()
        .between(visit.starts_at, visit.ends_at)
        .filter(crew=visit.crew)
        .exclude(pk=visit.pk)
        .select_related("home", "crew")
        .order_by("starts_at")
        .first()
    )


def _follow(job: Job, crew: Crew) -> None:
    if not take(job, among=BEFORE_FITTING, stage="booked", crew=crew):
        raise NotBookable(f"Job {job.number} is {job.get_stage_display()} by now.")
