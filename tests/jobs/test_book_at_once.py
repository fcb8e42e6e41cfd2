"""Several people book the same crew at the same moment, each on a connection of their own."""

import sqlite3
import threading
from collections.abc import Callable
from datetime import timedelta
from functools import partial
from pathlib import Path

import pytest
from django.db import connection

from customers.models import Home
from jobs.actions import booking
from jobs.actions.booking import CrewIsTaken
from jobs.models import BookedQuarter, Booking, Crew
from tests.factories import NOON, make_crew, make_home

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def database(tmp_path: Path) -> Callable[[], Path]:
    """Copy the tests' SQLite database in memory to a file, as in the field; a server stays."""

    def copied() -> Path:
        path = tmp_path / "field.sqlite3"
        if connection.vendor == "sqlite":
            copy = sqlite3.connect(path)
            connection.connection.backup(copy)
            copy.close()
        return path

    return copied


def in_threads(work: list[Callable[[], None]], database: Path) -> None:
    """Run all at once, each on a connection of its own."""
    gate = threading.Barrier(len(work))

    def run(task: Callable[[], None]) -> None:
        if connection.vendor == "sqlite":
            connection.settings_dict = {**connection.settings_dict, "NAME": str(database)}
        try:
            gate.wait(timeout=20)
            task()
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(task,)) for task in work]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)


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


def test_one_of_many_gets_the_crew(database: Callable[[], Path]) -> None:
    crew, homes = make_crew(), [make_home() for _ in range(5)]
    path = database()
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
