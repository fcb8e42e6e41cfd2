"""What reached nobody goes on to the household's next channel, once, and ends on the call list."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils.timezone import now

from customers.actions import record_consent
from customers.links import link_token
from customers.models import Household
from tests.factories import (
    NOON,
    TODAY,
    make_booking,
    make_home,
    make_household,
    make_notice,
    make_plant,
    make_user,
    make_watch,
)
from warranties.actions import answering, letters, noticing
from warranties.models import Notice, Watch
from warranties.notices import plan_notices
from warranties.notices.entrance import link_of
from warranties.notices.escalating import unreached

pytestmark = pytest.mark.django_db
SIX_DAYS = timedelta(days=6)
ALL = ["mail", "text", "letter", "call"]


def sent(**fields: Any) -> Notice:
    """A trim-back that was mailed at NOON to a household that may be reached by every channel."""
    household = make_household(channel_order=ALL)
    record_consent(household=household, channel="text", given=True, how="told us", at=NOON)
    plant = make_plant(home=make_home(household=household))
    watch = make_watch(plant=plant, opens_on=TODAY + timedelta(days=42))
    return make_notice(watch=watch, state="sent", sent_at=NOON, **fields)


def newest() -> Notice:
    return Notice.objects.latest("pk")


def test_unseen_after_five_days_goes_on_to_the_next_channel_once() -> None:
    notice = sent()

    assert plan_notices(NOON + timedelta(days=4, hours=23)) == 0
    assert plan_notices(NOON + SIX_DAYS) == 1
    assert plan_notices(NOON + SIX_DAYS) == 0

    new = newest()
    assert (new.after, new.channel, new.state, new.lead) == (notice, "text", "planned", notice.lead)
    assert (new.plant, new.home, new.due_on) == (notice.plant, notice.home, notice.due_on)
    assert noticing.send(pk=new.pk, at=NOON + SIX_DAYS) == "sent"


def test_goes_through_the_order_and_ends_on_the_call_list() -> None:
    sent()
    at = NOON
    for channel, days in (("text", 6), ("letter", 6), ("call", 13)):
        at += timedelta(days=days)
        # The reminders that the calendar brings are not what this is about.
        Watch.objects.update(opens_on=at.date() + timedelta(days=100))
        assert plan_notices(at) == 1
        assert newest().channel == channel
        if channel != "call":
            Notice.objects.filter(pk=newest().pk).update(state="sent", sent_at=at)

    letters.mark_called(pk=newest().pk, by=make_user(), at=at)

    assert newest().seen_at == at
    assert plan_notices(at + timedelta(days=30)) == 0


@pytest.mark.parametrize("seen", ["my-home", "answer"])
def test_what_was_opened_by_its_own_link_is_seen_and_goes_no_further(
    client: Client, seen: str
) -> None:
    notice = sent()
    with_it = make_notice(state="joined", joined_to=notice, occasion="trim-back:other:1:1")
    Notice.objects.filter(pk=with_it.pk).update(household=notice.household)
    token = link_token(link_of(notice, now()))
    address = f"/my-home/{token}/"
    if seen == "answer":
        address += f"notices/{notice.pk}/done/"

    client.head(address)
    assert not Notice.objects.exclude(seen_at=None).exists()
    assert client.get(address).status_code == 200

    assert Notice.objects.exclude(seen_at=None).count() == 2
    plan_notices(NOON + SIX_DAYS)
    assert not Notice.objects.exclude(after=None).exists()


def test_another_way_in_says_nothing_of_a_notice(client: Client) -> None:
    notice = sent()
    link = notice.household.links.create(expires_at=now() + timedelta(days=9))

    client.get(f"/my-home/{link_token(link)}/")

    assert not Notice.objects.exclude(seen_at=None).exists()


@pytest.mark.parametrize("say", [answering.say_done, answering.say_help])
def test_an_answer_stops_what_would_follow(say: Any) -> None:
    notice = sent()
    plan_notices(NOON + SIX_DAYS)

    say(notice=notice, at=NOON + SIX_DAYS)

    assert Notice.objects.get(after=notice).state == "dropped"
    notice.refresh_from_db()
    assert notice.seen_at == NOON + SIX_DAYS


def test_seen_while_a_worker_held_the_next_one_sends_nothing() -> None:
    notice = sent()
    plan_notices(NOON + SIX_DAYS)
    Notice.objects.filter(pk=notice.pk).update(seen_at=NOON)

    assert noticing.send(pk=newest().pk, at=NOON + SIX_DAYS) == "dropped"


def test_what_came_back_goes_on_at_once_whatever_it_is_about() -> None:
    begins = NOON + timedelta(days=2)
    booking = make_booking(home=sent().home, starts_at=begins, ends_at=begins + timedelta(hours=1))
    Notice.objects.update(kind="visit-booked", plant=None, booking=booking, bounced_at=NOON)
    Watch.objects.all().delete()

    assert plan_notices(NOON) == 1

    assert newest().channel == "text"
    assert newest().booking == booking
    assert plan_notices(NOON + timedelta(days=3)) == 0  # The visit is over.


def test_a_visit_that_nobody_opened_is_not_insisted_on() -> None:
    sent()
    Notice.objects.update(kind="visit-booked", plant=None)
    Watch.objects.all().delete()

    assert plan_notices(NOON + SIX_DAYS) == 0


def test_consent_and_quiet_hours_hold() -> None:
    notice = sent()
    record_consent(household=notice.household, channel="text", given=False, how="said", at=NOON)
    night = NOON + SIX_DAYS + timedelta(hours=14)  # 2:00 in the morning

    plan_notices(night)

    assert newest().channel == "letter"
    assert newest().send_at == night + timedelta(hours=6)


def test_an_address_that_mail_came_back_from_is_not_written_to_again() -> None:
    household = make_household(mail="gone@example.com", channel_order=ALL)
    watch = make_watch(plant=make_plant(home=make_home(household=household)))
    Watch.objects.filter(pk=watch.pk).update(opens_on=TODAY + timedelta(days=40))
    Household.objects.update(mail_failed="gone@example.com")

    plan_notices(NOON)
    assert newest().channel == "letter"

    Household.objects.update(mail="new@example.com")
    Notice.objects.all().delete()
    plan_notices(NOON)
    assert newest().channel == "mail"


def test_a_plant_that_was_cut_since_is_not_insisted_on() -> None:
    notice = sent()
    Watch.objects.update(cycle=notice.pk + 1000)

    plan_notices(NOON + SIX_DAYS)

    assert not Notice.objects.filter(after=notice).exists()


def test_the_next_reminder_takes_the_place_of_what_would_follow_the_last() -> None:
    sent()
    at = NOON + timedelta(days=21)

    assert plan_notices(at) == 1

    assert (newest().lead, newest().after) == (2, None)


def test_what_reached_nobody_over_every_channel_is_known() -> None:
    notice = sent()
    for channel in ("text", "letter", "call"):
        record_consent(
            household=notice.household, channel=channel, given=False, how="said", at=NOON
        )
    later = NOON + SIX_DAYS

    assert plan_notices(later) == 0

    assert [each.pk for each in unreached(later)] == [notice.pk]
    assert list(unreached(NOON)) == []


def test_one_of_the_office_sees_whom_nothing_reaches(office: Client) -> None:
    notice = sent()
    Notice.objects.filter(pk=notice.pk).update(sent_at=now() - SIX_DAYS)

    page = office.get("/outbox/").content.decode()

    assert "nothing reached them" in page
