"""Work at a home is announced once, and a check follows it."""

from datetime import date, timedelta

import pytest
import time_machine
from django.test import Client
from django.utils.timezone import localdate, now

from customers.links import link_token, make_link
from customers.models import Household, Ownership
from customers.story import story
from tests.factories import make_home, make_household, make_promise
from warranties.actions import announcing
from warranties.actions.announcing import NotAnnounced, Work
from warranties.models import Announced, Check

pytestmark = pytest.mark.django_db
TODAY = date(2026, 3, 2)


def announce(home, **fields) -> Announced:  # type: ignore[no-untyped-def]
    work = Work(**{"kind": "pool", "on": TODAY + timedelta(days=30), **fields})
    return announcing.announce(home=home, work=work, told_by="household", today=TODAY, at=now())


def test_a_check_follows_a_week_after_and_said_twice_it_stays_one() -> None:
    home = make_home()

    first, again = announce(home), announce(home, note="Other words.")

    assert first == again
    check = Check.objects.get()
    assert (check.due_on, check.kind) == (TODAY + timedelta(days=37), "both")
    assert check.reason == "After a pool, 2026-04-01"


def test_work_that_was_done_already_is_checked_from_today() -> None:
    announce(make_home(), on=TODAY - timedelta(days=20))

    assert Check.objects.get().due_on == TODAY + timedelta(days=7)


@pytest.mark.parametrize("days", [-400, 800])
def test_asks_about_a_day_that_is_no_plan(days: int) -> None:
    with pytest.raises(NotAnnounced, match="look at the day"):
        announce(make_home(), on=TODAY + timedelta(days=days))
    assert not Announced.objects.exists()


def test_who_came_later_reads_of_the_work_and_none_of_their_words(client: Client) -> None:
    home = make_home()
    announce(home, on=localdate() + timedelta(days=9), note="Call my brother Karl.")
    known = make_link(household=Household.objects.get(), purpose="my home", at=now(), days=9)
    assert "Karl" in client.get(f"{known}homes/{home.pk}/works/").content.decode()

    Ownership.objects.update(until=localdate() + timedelta(days=1))
    buyer = make_household()
    home.ownerships.create(household=buyer, since=localdate() + timedelta(days=1))
    assert "Karl" in client.get(f"{known}homes/{home.pk}/works/").content.decode()  # Until then.
    with time_machine.travel(now() + timedelta(days=2), tick=False):
        link = make_link(household=buyer, purpose="my home", at=now(), days=9)
        page = client.get(f"{link}homes/{home.pk}/works/").content.decode()

    assert "A pool" in page
    assert "Karl" not in page


def test_what_does_not_come_takes_its_check_along_and_may_come_after_all() -> None:
    home = make_home()
    dropped = announce(home)

    announcing.drop(announced=dropped, at=now())
    announcing.drop(announced=dropped, at=now())
    assert not Check.objects.exists()
    announce(home)

    assert Announced.objects.filter(dropped_at=None).count() == Check.objects.count() == 1


def test_a_check_that_was_made_stays() -> None:
    announced = announce(make_home())
    Check.objects.update(done_on=TODAY)

    announcing.drop(announced=announced, at=now())

    assert Check.objects.count() == 1


def test_the_household_tells_us_in_its_language(client: Client) -> None:
    promise = make_promise()
    promise.holder.language = "es"
    promise.holder.save()
    make_link(household=promise.holder, purpose="my home", at=now(), days=7)
    token = link_token(promise.holder.links.latest("pk"))
    address = f"/my-home/{token}/homes/{promise.home.pk}/works/"

    start = client.get(f"/my-home/{token}/").content.decode()
    wrong = client.post(address, {"kind": "fence", "on": "2001-01-01", "note": "Atrás."})
    done = client.post(
        address, {"kind": "fence", "on": localdate().isoformat(), "note": "Atrás."}, follow=True
    )

    assert address in start
    assert wrong.status_code == 422
    assert "Atrás." in wrong.content.decode()
    assert "Lo que sabemos" in done.content.decode()
    assert Announced.objects.get().told_by == "household"


def test_a_stranger_tells_nothing_of_another_home(client: Client) -> None:
    promise, other = make_promise(), make_home()
    make_link(household=promise.holder, purpose="my home", at=now(), days=7)
    token = link_token(promise.holder.links.latest("pk"))

    assert client.get(f"/my-home/{token}/homes/{other.pk}/works/").status_code == 404


def test_the_crew_notes_and_drops_it_and_the_story_tells(tech: Client) -> None:
    home = make_home()

    tech.post(f"/homes/{home.pk}/works/", {"kind": "dish", "on": localdate().isoformat()})
    announced = Announced.objects.get()
    told = [entry.text for entry in story(home)]
    tech.post(f"/works/{announced.pk}/drop/")

    assert any("Announced: a satellite dish" in text for text in told)
    announced.refresh_from_db()
    assert announced.dropped_at
