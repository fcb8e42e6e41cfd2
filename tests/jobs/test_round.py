"""The round as the crew sees it, and the way to a stop."""

from datetime import timedelta
from unittest.mock import patch

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from jobs.actions import visiting
from jobs.models import Booking, Crew
from tests.factories import (
    NOON,
    make_booking,
    make_crew,
    make_home,
    make_household,
    make_job,
    make_offer,
    make_user,
)


@pytest.fixture
def crew(tech: Client) -> Crew:
    """The crew of the tech who is signed in."""
    crew = make_crew()
    crew.members.add(make_user(role="tech"))
    return crew


def make_stop(crew: Crew, **fields: object) -> Booking:
    """A fitting with an agreed offer at a home of its own."""
    household = make_household(name="Ana Ríos", phone="+16025550142")
    home = make_home(household=household, site_note="Dog in the yard.")
    job = make_job(home=home, stage="booked", crew=crew, wish="They come in by the laundry.")
    make_offer(job=job, state="agreed", agreed_at=NOON)
    make_offer(job=job, state="replaced", number=f"{job.number}-B", note="old")
    return make_booking(crew=crew, home=home, job=job, **fields)


def page_of(browser: Client, on: str = "2026-03-02") -> str:
    response = browser.get(reverse("round"), {"on": on})
    assert response.status_code == 200
    return response.content.decode()


def test_a_stop_shows_who_where_when_and_what(tech: Client, crew: Crew) -> None:
    stop = make_stop(crew, note="Ring twice.")

    page = page_of(tech)

    assert "noon</time> – 2 p.m., fitting" in " ".join(page.split())  # at the home, not in UTC
    assert stop.home.street in page
    assert 'href="tel:+16025550142"' in page
    assert "Ana Ríos" in page
    assert "Dog in the yard." in page
    assert "Ring twice." in page
    assert "They come in by the laundry." in page
    assert page.count("160 ft · strip-glass") == 1  # the agreed offer, not the replaced one
    assert 'class="thumb"' in page


def test_stops_stand_in_the_order_of_the_round_then_of_time(tech: Client, crew: Crew) -> None:
    for street, order, hours in (("Third", 2, 0), ("Second", 1, 2), ("First", 1, 1)):
        make_booking(
            crew=crew,
            home=make_home(street=f"{street} Street"),
            order=order,
            starts_at=NOON + timedelta(hours=hours),
            ends_at=NOON + timedelta(hours=hours + 1),
        )

    page = page_of(tech)

    places = [page.index(f"{each} Street") for each in ("First", "Second", "Third")]
    assert places == sorted(places)


def test_the_day_is_today_where_none_is_named(tech: Client, crew: Crew) -> None:
    stop = make_stop(crew)

    with time_machine.travel(NOON, tick=False):
        assert stop.home.street in tech.get(reverse("round")).content.decode()
        assert stop.home.street in page_of(tech, on="2026-02-30")
    assert stop.home.street not in page_of(tech, on="2026-03-03")


def test_a_late_stop_belongs_to_the_firms_day(tech: Client, crew: Crew) -> None:
    late = NOON + timedelta(hours=10)  # ten in the evening; the next day in UTC
    stop = make_stop(crew, starts_at=late, ends_at=late + timedelta(hours=1))

    assert stop.home.street in page_of(tech)
    assert stop.home.street not in page_of(tech, on="2026-03-03")


def test_a_cancelled_stop_is_gone(tech: Client, crew: Crew) -> None:
    stop = make_stop(crew, cancelled_at=NOON)

    assert stop.home.street not in page_of(tech)


def test_says_where_somebody_can_get_hurt_and_whom_to_call(tech: Client, crew: Crew) -> None:
    make_stop(crew)

    page = page_of(tech)

    assert page.count('href="tel:+18002221222"') == 1
    assert "1-800-222-1222" in page
    for word in ("Ladder", "Gas", "Electricity", "wet saw", "Wet silicone", "sting", "911"):
        assert word in page


def test_an_empty_day_says_so(tech: Client, crew: Crew) -> None:
    assert "No stops on this day" in page_of(tech)


def test_asks_the_same_number_of_questions_for_any_number_of_stops(
    tech: Client, crew: Crew, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for _ in range(6):
        make_stop(crew)

    # Session, person, permissions, stops, ownerships, households, offers, lines.
    with django_assert_num_queries(8):
        page_of(tech)


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31", "2026-13-01", "soon"])
def test_a_day_that_is_none_of_ours_is_today(tech: Client, crew: Crew, day: str) -> None:
    assert tech.get(reverse("round"), {"on": day}).status_code == 200


def test_a_stop_cancelled_meanwhile_is_told_on_the_round(tech: Client, crew: Crew) -> None:
    stop = make_stop(crew)

    with patch.object(visiting, "_standing", side_effect=visiting.NotVisitable("Cancelled.")):
        answer = tech.post(reverse("stop-arrive", args=[stop.pk]), follow=True)

    assert "Cancelled." in answer.content.decode()


def test_arrives_and_leaves(tech: Client, crew: Crew) -> None:
    stop = make_stop(crew)

    with time_machine.travel(NOON, tick=False):
        arrived = tech.post(reverse("stop-arrive", args=[stop.pk]))
        tech.post(reverse("stop-leave", args=[stop.pk]))

    stop.refresh_from_db()
    assert arrived.headers["Location"] == f"/round/?on=2026-03-02#stop-{stop.pk}"
    assert (stop.arrived_at, stop.done_at) == (NOON, NOON)
    assert "done at noon" in page_of(tech)

    tech.post(reverse("stop-again", args=[stop.pk]))
    assert "there since noon" in page_of(tech)


@pytest.mark.parametrize("name", ["stop-arrive", "stop-leave", "stop-again"])
def test_another_crews_stop_is_not_there(tech: Client, crew: Crew, name: str) -> None:
    stop = make_stop(make_crew(), arrived_at=NOON)

    response = tech.post(reverse(name, args=[stop.pk]))

    assert response.status_code == 404
    stop.refresh_from_db()
    assert (stop.arrived_at, stop.done_at) == (NOON, None)
    assert stop.home.street not in page_of(tech)


@pytest.mark.parametrize("name", ["stop-arrive", "stop-leave", "stop-again"])
def test_a_link_alone_changes_nothing(tech: Client, crew: Crew, name: str) -> None:
    assert tech.get(reverse(name, args=[make_stop(crew).pk])).status_code == 405


def test_who_books_sees_every_crews_stops(owner: Client) -> None:
    stops = [make_stop(make_crew()) for _ in range(2)]

    page = page_of(owner)

    assert all(stop.home.street in page for stop in stops)
