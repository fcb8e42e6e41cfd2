"""Double booking refused by PostgreSQL as by SQLite: many at once, each on its own connection."""

import json

import pytest

from tests.services.app import App

pytestmark = [pytest.mark.services, pytest.mark.xdist_group("services")]

AT_ONCE = """
import json, threading
from datetime import timedelta
from django.db import connection
from jobs.actions import booking
from jobs.models import BookedQuarter, Booking
from tests.factories import NOON, make_crew, make_home

QUARTER, HOURS = timedelta(minutes=15), timedelta(hours=2)
crews, homes = [make_crew(), make_crew()], [make_home() for _ in range(8)]
gate = threading.Barrier(8)

def at_once(work):
    results = []
    def run(number):
        try:
            gate.wait(timeout=20)
            work(number)
            results.append("done")
        except booking.CrewIsTaken as refusal:
            results.append("taken by another" if refusal.other else "taken")
        except Exception as error:
            results.append(repr(error))
        finally:
            connection.close()
    threads = [threading.Thread(target=run, args=(n,)) for n in range(8)]
    [each.start() for each in threads]
    [each.join(timeout=60) for each in threads]
    return sorted(results)

def book(number, crew=None, start=NOON):
    return booking.book(crew=crew or crews[0], home=homes[number], purpose="check",
        starts_at=start, ends_at=start + HOURS, at=NOON - timedelta(days=1))

booked = at_once(lambda n: book(n, start=NOON + n * QUARTER))
visits = [book(n, crew=crews[n % 2], start=NOON + timedelta(days=1 + n)) for n in range(8)]

# Where nothing makes two swaps wait for each other, both stand here with their old times freed.
middle, hold = [threading.Barrier(2) for _ in range(4)], booking._hold_quarters

def hold_slowly(visit):
    try:
        middle[pair[visit.pk]].wait(timeout=1)
    except threading.BrokenBarrierError:
        pass
    hold(visit)

pair = {visit.pk: n // 2 for n, visit in enumerate(visits)}
booking._hold_quarters = hold_slowly

def swap(number):
    other = visits[number ^ 1]
    booking.move(booking=visits[number], crew=crews[(number + 1) % 2], starts_at=other.starts_at,
        ends_at=other.ends_at, at=NOON)

swapped = at_once(swap)
held = sorted(BookedQuarter.objects.values_list("booking_id", flat=True))
print(json.dumps({
    "vendor": connection.vendor, "booked": booked, "swapped": swapped,
    "visits": Booking.objects.count(), "quarters": len(held), "each": len(set(held)),
}))
"""


def test_one_of_many_gets_the_crew_and_swaps_are_refused_without_a_deadlock(app: App) -> None:
    """Each swap wants the time that its partner still holds: refused, but never locked for good."""
    result = json.loads(app.python(AT_ONCE).splitlines()[-1])

    assert result["vendor"] == "postgresql"
    assert result["booked"].count("done") == 1
    assert set(result["booked"]) <= {"done", "taken", "taken by another"}
    assert result["swapped"] == ["taken by another"] * 8
    assert (result["visits"], result["quarters"], result["each"]) == (9, 72, 9)
