from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError, connection, transaction

from customers.models import Home
from jobs.actions import booking
from jobs.actions.booking import CrewIsTaken, NotBookable
from jobs.models import BookedQuarter, Booking, Crew, Job
from jobs.signals import visit_changed
from tests.factories import NOON, make_crew, make_home, make_job, make_offer

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
BEFORE = NOON - timedelta(days=1)


def book(crew: Crew, home: Home | None = None, *, hours: float = 2, **fields: Any) -> Booking:
    """A check of two hours from noon, unless told otherwise."""
    starts_at = fields.pop("starts_at", NOON)
    return booking.book(
        crew=crew,
        home=home or make_home(),
        **{
            "purpose": "check",
            "starts_at": starts_at,
            "ends_at": starts_at + hours * HOUR,
            "at": BEFORE,
            **fields,
        },
    )


def fitting(job: Job, crew: Crew, **fields: Any) -> Booking:
    return book(crew, job.home, job=job, purpose="fitting", **fields)


def test_a_visit_holds_each_of_its_quarters() -> None:
    crew = make_crew()

    visit = book(crew, hours=1.25)

    assert list(visit.quarters.values_list("at", flat=True).order_by("at")) == [
        NOON + n * timedelta(minutes=15) for n in range(5)
    ]


def test_a_crew_is_in_one_place_at_a_time() -> None:
    crew = make_crew(name="North crew")
    standing = book(crew, make_home(street="14 Juniper Bend"))

    with pytest.raises(CrewIsTaken) as refusal:
        book(crew, starts_at=NOON + 1.75 * HOUR)

    assert refusal.value.other == standing
    assert str(refusal.value) == (
        "North crew is taken: check at 14 Juniper Bend, Monday 2 March, 12:00 to 14:00."
    )
    assert Booking.objects.count() == 1


def test_next_door_in_time_and_another_crew_are_free() -> None:
    crew = make_crew()
    book(crew)

    book(crew, starts_at=NOON + 2 * HOUR)
    book(crew, starts_at=NOON - 2 * HOUR)
    book(make_crew())

    assert Booking.objects.count() == 4


def test_the_database_itself_refuses_a_second_holder() -> None:
    crew = make_crew()
    first, second = book(crew), book(crew, starts_at=NOON + 5 * HOUR)
    assert first.quarters.exists()

    with pytest.raises(IntegrityError), transaction.atomic():
        BookedQuarter.objects.create(booking=second, crew=crew, at=NOON)


@pytest.mark.parametrize(
    ("minutes", "hours", "reason"),
    [
        (7, 1.0, "quarter hour"),
        (0, 0.1, "quarter hour"),
        (0, 0.0, "end after it begins"),
        (0, -1.0, "end after it begins"),
        (0, 17.0, "16 hours"),
        (-60 * 48, 1.0, "over already"),
    ],
)
def test_refuses_times_that_make_no_sense(minutes: int, hours: float, reason: str) -> None:
    with pytest.raises(NotBookable, match=reason):
        book(make_crew(), starts_at=NOON + timedelta(minutes=minutes), hours=hours)

    assert not Booking.objects.exists()


def test_refuses_a_crew_that_no_longer_works() -> None:
    with pytest.raises(NotBookable, match="no longer works"):
        book(make_crew(active=False))


def test_hour_that_the_clock_skips_or_repeats() -> None:
    """Denver: 8 March 2026 skips 2:00 to 3:00; 1 November 2026 repeats 1:00 to 2:00."""
    denver = ZoneInfo("America/Denver")
    crew, home = make_crew(), make_home(zone="America/Denver")

    spring = book(
        crew,
        home,
        starts_at=datetime(2026, 3, 8, 1, 0, tzinfo=denver).astimezone(UTC),
        hours=2,
    )
    autumn = book(
        crew,
        home,
        starts_at=datetime(2026, 11, 1, 0, 0, tzinfo=denver),
        ends_at=datetime(2026, 11, 1, 3, 0, tzinfo=denver),
    )

    assert spring.quarters.count() == 8
    assert booking.in_words(spring).endswith("Sunday 8 March, 01:00 to 04:00")
    autumn.refresh_from_db()
    assert autumn.ends_at - autumn.starts_at == 4 * HOUR
    assert autumn.quarters.count() == 16
    with pytest.raises(CrewIsTaken):
        book(crew, home, starts_at=datetime(2026, 11, 1, 1, 45, tzinfo=denver, fold=1), hours=0.25)


def test_fitting_books_its_job_and_reports_inside_the_transaction() -> None:
    job, crew = make_job(stage="agreed"), make_crew()
    heard: list[tuple[str, bool]] = []

    def listener(change: str, **_: Any) -> None:
        heard.append((change, connection.in_atomic_block))

    visit_changed.connect(listener)
    visit = fitting(job, crew)
    booking.move(booking=visit, starts_at=NOON + HOUR, ends_at=NOON + 3 * HOUR, at=BEFORE)
    booking.cancel(booking=visit, at=BEFORE)
    visit_changed.disconnect(listener)

    job.refresh_from_db()
    assert [change for change, _ in heard] == ["booked", "moved", "cancelled"]
    assert all(inside for _, inside in heard)
    assert (job.stage, job.crew) == ("agreed", None)


def test_what_hears_a_visit_and_fails_takes_the_visit_back() -> None:
    job = make_job(stage="agreed")

    def listener(**_: Any) -> None:
        raise RuntimeError("no notice, no visit")

    visit_changed.connect(listener)
    with pytest.raises(RuntimeError):
        fitting(job, make_crew())
    visit_changed.disconnect(listener)

    job.refresh_from_db()
    assert job.stage == "agreed"
    assert not BookedQuarter.objects.exists()


@pytest.mark.parametrize("stage", ["asked", "priced", "fitted", "cancelled"])
def test_fitting_is_refused_without_an_agreement(stage: str) -> None:
    with pytest.raises(NotBookable, match="once the household has agreed"):
        fitting(make_job(stage=stage), make_crew())


def test_fitting_needs_a_job_and_its_own_home() -> None:
    with pytest.raises(NotBookable, match="choose the job"):
        book(make_crew(), purpose="fitting")
    with pytest.raises(NotBookable, match="another home"):
        book(make_crew(), make_home(), job=make_job(stage="agreed"), purpose="fitting")


def test_fitting_waits_for_the_cooling_off_days() -> None:
    ends = NOON + 5 * HOUR
    job, crew = make_job(stage="agreed"), make_crew()
    offer = make_offer(job=job, state="agreed", agreed_at=BEFORE, cooling_off_ends_at=ends)

    with pytest.raises(NotBookable, match="may cancel until midnight before"):
        fitting(job, crew, starts_at=ends - HOUR)
    fitting(job, crew, starts_at=ends)
    offer.waived_at = BEFORE
    offer.save()
    fitting(job, crew, starts_at=ends - 5 * HOUR)

    assert job.bookings.count() == 2


def test_move_frees_the_old_quarters_and_counts_the_change() -> None:
    crew, other = make_crew(), make_crew()
    visit = book(crew)

    booking.move(
        booking=visit, starts_at=NOON + HOUR, ends_at=NOON + 4 * HOUR, at=BEFORE, crew=other
    )
    book(crew)

    assert (visit.crew, visit.sequence, visit.starts_at) == (other, 1, NOON + HOUR)
    assert visit.quarters.filter(crew=other).count() == visit.quarters.count() == 12


def test_refused_move_leaves_everything_as_it_was() -> None:
    crew = make_crew()
    visit, other = book(crew), book(crew, starts_at=NOON + 4 * HOUR)

    with pytest.raises(CrewIsTaken) as refusal:
        booking.move(booking=visit, starts_at=NOON + 3 * HOUR, ends_at=NOON + 5 * HOUR, at=BEFORE)

    visit.refresh_from_db()
    assert refusal.value.other == other
    assert (visit.starts_at, visit.sequence, visit.quarters.count()) == (NOON, 0, 8)


def test_move_by_a_quarter_does_not_clash_with_itself() -> None:
    visit = book(make_crew())

    booking.move(
        booking=visit,
        starts_at=NOON + timedelta(minutes=15),
        ends_at=NOON + 2 * HOUR,
        at=BEFORE,
    )

    assert visit.quarters.count() == 7


def test_cancelled_or_done_visits_stay() -> None:
    crew = make_crew()
    gone, done = book(crew), book(crew, starts_at=NOON + 3 * HOUR)
    booking.cancel(booking=gone, at=BEFORE)
    Booking.objects.filter(pk=done.pk).update(done_at=NOON)

    with pytest.raises(NotBookable, match="cancelled before"):
        booking.cancel(booking=gone, at=BEFORE)
    with pytest.raises(NotBookable, match="stays as it was"):
        booking.cancel(booking=done, at=NOON + 9 * HOUR)

    book(crew)  # the cancelled one's time is free again


def test_job_stays_booked_while_another_fitting_day_stands() -> None:
    job, crew = make_job(stage="agreed"), make_crew()
    first = fitting(job, crew)
    fitting(job, crew, starts_at=NOON + timedelta(days=1))

    booking.cancel(booking=first, at=BEFORE)

    job.refresh_from_db()
    assert job.stage == "booked"
