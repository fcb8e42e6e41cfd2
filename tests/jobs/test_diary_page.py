from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from jobs.actions import booking
from jobs.models import Booking, Crew, Job
from tests.factories import NOON, make_booking, make_crew, make_home, make_job

pytestmark = pytest.mark.django_db
BEFORE = NOON - timedelta(days=1)


@pytest.fixture(autouse=True)
def sunday() -> Any:
    with time_machine.travel(BEFORE, tick=False):
        yield


def entry(job: Job, crew: Crew, **fields: Any) -> dict[str, Any]:
    return {
        "job": job.number,
        "purpose": "fitting",
        "crew": crew.pk,
        "day": "2026-03-02",
        "starts": "12:00",
        "minutes": "120",
        **fields,
    }


def test_books_in_the_homes_time(office: Client) -> None:
    job = make_job(stage="agreed", home=make_home(zone="America/New_York"))

    response = office.post(reverse("diary"), entry(job, make_crew()))

    visit = Booking.objects.get()
    assert response["Location"] == "/diary/?week=2026-W10"
    assert (visit.starts_at, visit.home) == (NOON - timedelta(hours=2), job.home)
    job.refresh_from_db()
    assert job.stage == "booked"


def test_clash_is_refused_with_its_reason_and_what_was_typed(office: Client) -> None:
    crew, job = make_crew(name="North crew"), make_job(stage="agreed")
    booking.book(
        crew=crew,
        home=make_home(street="9 Far End"),
        purpose="check",
        starts_at=NOON,
        ends_at=NOON + timedelta(hours=1),
        at=BEFORE,
    )

    response = office.post(reverse("diary"), entry(job, crew, note="Bring the long ladder"))

    page = response.content.decode()
    assert response.status_code == 422
    assert "North crew is taken: check at 9 Far End, Monday 2 March, 12:00 to 13:00." in page
    assert "Bring the long ladder" in page
    assert Booking.objects.count() == 1


def test_week_shows_crews_days_and_bars_to_scale(office: Client) -> None:
    crew = make_crew(name="North crew")
    make_booking(crew=crew, home=make_home(street="14 Juniper Bend"))
    make_booking(crew=crew, starts_at=NOON + timedelta(days=7), ends_at=NOON + timedelta(days=8))
    make_booking(crew=crew, cancelled_at=NOON, home=make_home(street="Nowhere"))

    page = office.get(reverse("diary"), {"week": "2026-W10"}).content.decode()

    assert '<rect class="fitting" x="24" y="0" width="8" height="4"/>' in page
    assert page.count('class="stop') == 1
    assert "14 Juniper Bend" in page
    assert "Nowhere" not in page
    assert "?week=2026-W09" in page
    assert "?week=2026-W11" in page


def test_visit_over_midnight_stands_on_both_days(office: Client) -> None:
    make_booking(starts_at=NOON + timedelta(hours=10), ends_at=NOON + timedelta(hours=14))

    page = office.get(reverse("diary"), {"week": "2026-W10"}).content.decode()

    assert page.count('class="stop') == 2


def test_today_is_marked(office: Client) -> None:
    make_crew()

    page = office.get(reverse("diary")).content.decode()

    assert page.count('<span class="mark">today</span>') == 1
    assert 'data-day="2026-03-01"' in page.split('<span class="mark">today</span>')[0][-400:]


def test_form_knows_what_the_address_asks_for(office: Client) -> None:
    crew, job = make_crew(), make_job(stage="agreed")

    address = f"{reverse('diary')}?job={job.number}&crew={crew.pk}&day=2026-03-05"
    page = office.get(address).content.decode()

    assert f'<option value="{job.number}" selected>' in page
    assert f'<option value="{crew.pk}" selected>' in page
    assert 'value="2026-03-05"' in page
    assert '<option value="fitting" selected>' in page


def test_moves_a_visit(office: Client) -> None:
    crew = make_crew()
    visit = booking.book(
        crew=crew,
        home=make_home(),
        purpose="check",
        starts_at=NOON,
        ends_at=NOON + timedelta(hours=1),
        at=BEFORE,
    )
    form = {"crew": crew.pk, "day": "2026-03-03", "starts": "12:15", "minutes": "45"}

    response = office.post(reverse("visit", args=[visit.pk]), form)

    visit.refresh_from_db()
    assert response.status_code == 302
    assert visit.starts_at == NOON + timedelta(days=1, minutes=15)
    assert visit.quarters.count() == 3


def test_move_that_is_refused_says_why(office: Client) -> None:
    visit = make_booking()
    form = {"crew": visit.crew_id, "day": "2026-03-03", "starts": "12:07", "minutes": "45"}

    response = office.post(reverse("visit", args=[visit.pk]), form)

    assert response.status_code == 422
    assert "quarter hour" in response.content.decode()


def test_cancels_a_visit_by_post_only(office: Client) -> None:
    visit = make_booking()
    url = reverse("visit-cancel", args=[visit.pk])

    assert office.get(url).status_code == 405
    office.post(url)

    visit.refresh_from_db()
    assert visit.cancelled_at == BEFORE


def test_calendar_entry_downloads(office: Client) -> None:
    response = office.get(reverse("visit-calendar", args=[make_booking().pk]))

    assert response["Content-Type"] == "text/calendar; charset=utf-8"
    assert response.content.startswith(b"BEGIN:VCALENDAR\r\n")


def test_number_of_queries_does_not_grow(
    office: Client, django_assert_max_num_queries: Callable[..., Any]
) -> None:
    for _ in range(3):
        crew = make_crew()
        for hours in range(0, 20, 4):
            job = make_job(stage="booked")
            start = NOON + timedelta(hours=hours)
            end = start + timedelta(hours=1)
            make_booking(crew=crew, home=job.home, job=job, starts_at=start, ends_at=end)

    with django_assert_max_num_queries(8):  # session, user, rights, week, form's crews and jobs
        office.get(reverse("diary"), {"week": "2026-W10"})


def test_tech_may_not_book(tech: Client) -> None:
    assert tech.get(reverse("diary")).status_code == 403


def test_two_hours_over_the_change_of_the_clock_are_two_hours(office: Client) -> None:
    """Denver, 1 November 2026: 0:30 and two hours more is 1:30 for the second time."""
    job = make_job(stage="asked", home=make_home(zone="America/Denver"))
    form = entry(job, make_crew(), purpose="measure", day="2026-11-01", starts="00:30")

    office.post(reverse("diary"), form)

    visit = Booking.objects.get()
    assert visit.ends_at - visit.starts_at == timedelta(hours=2)


def test_check_at_a_home_without_a_job(office: Client) -> None:
    home, crew = make_home(street="14 Juniper Bend"), make_crew()
    times = {"crew": crew.pk, "day": "2026-03-02", "starts": "12:00", "minutes": "30"}

    page = office.get(f"{reverse('diary')}?home={home.pk}&purpose=check").content.decode()
    office.post(reverse("diary"), {**times, "home": home.pk, "purpose": "check", "job": ""})

    visit = Booking.objects.get()
    assert "For 14 Juniper Bend" in page
    assert f'name="home" value="{home.pk}"' in page
    assert (visit.home, visit.job, visit.purpose) == (home, None, "check")


def test_visit_to_nowhere_is_refused(office: Client) -> None:
    times = {"crew": make_crew().pk, "day": "2026-03-02", "starts": "12:00", "minutes": "30"}

    for home in ("", "99999", "x"):
        response = office.post(reverse("diary"), {**times, "purpose": "check", "home": home})

        assert response.status_code == 422, home
    assert "Choose the job." in response.content.decode()
