"""Several people book the same crew at the same moment, each on a connection of their own."""

from datetime import timedelta
from functools import partial
from pathlib import Path

import pytest

from customers.models import Home
from jobs.actions import booking
from jobs.actions.booking import CrewIsTaken
from jobs.models import BookedQuarter, Booking, Crew
from tests.at_once import as_in_the_field, in_threads
from tests.factories import NOON, make_crew, make_home

pytestmark = pytest.mark.django_db(transaction=True)


def book(crew: Crew, home: Home, quarters_late: int) -> Booking:
    starts_at = NOON + quarters_late * timedelta(minutes=15)
    return booking.book(
        crew=crew,
        home=home,
        purpose="check",
        starts_at=starts_at,
        ends_at=starts_at + timedelta(hours=2),
        at=NOON - timedelta(days=1),
    )


def test_one_of_many_gets_the_crew(tmp_path: Path) -> None:
    crew, homes = make_crew(), [make_home() for _ in range(5)]
    path = as_in_the_field(tmp_path)
    results: list[str] = []
    counts: list[int] = []

    def attempt(number: int) -> None:
        try:
            book(crew, homes[number], number)
            results.append("booked")
        except CrewIsTaken as refusal:
            results.append("taken by another" if refusal.other else "taken")

    def count() -> None:
        counts.extend([Booking.objects.count(), BookedQuarter.objects.count()])

    in_threads([partial(attempt, number) for number in range(5)], path)
    in_threads([count], path)

    assert sorted(results) == ["booked"] + ["taken by another"] * 4
    assert counts == [1, 8]
