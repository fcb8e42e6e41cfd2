"""A round of checks booked from the watch list: all stops or none."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.utils.timezone import now

from jobs.models import Booking, Crew
from tests.factories import make_crew, make_home, make_user
from warranties.actions.rounds import Round, RoundRefused, book_round
from warranties.models import Check

pytestmark = pytest.mark.django_db
DAY = date(2027, 3, 3)
ZONE = ZoneInfo("America/Phoenix")


def a_round(crew: Crew) -> Round:
    starts_at = datetime(2027, 3, 3, 8, tzinfo=ZONE)
    half, quarter = timedelta(minutes=30), timedelta(minutes=15)
    return Round(crew=crew, starts_at=starts_at, stop=half, between=quarter)


def test_stops_follow_each_other_and_take_the_due_checks_along() -> None:
    homes = [make_home(), make_home()]
    due = Check.objects.create(home=homes[0], kind="seal", due_on=DAY + timedelta(days=9))
    later = Check.objects.create(home=homes[0], kind="seal", due_on=DAY + timedelta(days=90))

    plan = a_round(make_crew())
    visits = book_round(homes=homes, plan=plan, by=make_user(role="office"), at=now())

    times = [f"{visit.starts_at.astimezone(ZONE):%H:%M}" for visit in visits]
    assert times == ["08:00", "08:45"]
    assert [visit.home for visit in visits] == homes
    due.refresh_from_db()
    later.refresh_from_db()
    assert (due.booking, later.booking) == (visits[0], None)


def test_one_stop_that_does_not_fit_books_none() -> None:
    crew, homes = make_crew(), [make_home(), make_home(), make_home()]
    office = make_user(role="office")
    taken = Round(
        crew=crew,
        starts_at=datetime(2027, 3, 3, 9, tzinfo=ZONE),
        stop=timedelta(minutes=15),
        between=timedelta(0),
    )
    book_round(homes=[make_home()], plan=taken, by=office, at=now())

    with pytest.raises(RoundRefused) as refused:
        book_round(homes=homes, plan=a_round(crew), by=office, at=now())

    assert len(refused.value.reasons) == 1
    assert refused.value.reasons[0].startswith(homes[1].street)
    assert Booking.objects.count() == 1


def test_the_office_books_a_round(office: Client) -> None:
    crew = make_crew(name="North crew")
    second = make_home(street="9 Kiln Street", neighbourhood="Old Flat")
    first = make_home(street="4 Kiln Street", neighbourhood="Old Flat")
    data = {
        "home": [second.pk, first.pk],
        "crew": crew.pk,
        "day": DAY.isoformat(),
        "starts": "08:00",
        "minutes": "30",
        "between": "15",
    }

    asked = office.get("/watch-list/round/", {"home": [second.pk, first.pk]})
    done = office.post("/watch-list/round/", data, follow=True)
    again = office.post("/watch-list/round/", data)

    assert asked.content.decode().index("4 Kiln Street") < asked.content.decode().index("9 Kiln")
    assert "Booked: 2 checks with North crew." in done.content.decode()
    assert [visit.home for visit in Booking.objects.order_by("starts_at")] == [first, second]
    assert again.status_code == 422
    assert "Nothing is booked" in again.content.decode()


def test_a_round_without_homes_asks_for_some(office: Client) -> None:
    said = office.get("/watch-list/round/?home=x", follow=True)

    assert "Tick the homes of the round first." in said.content.decode()
