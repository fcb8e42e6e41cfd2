"""Addresses that do not work: found out, shown to the office, put right, and what goes again."""

from importlib import import_module

import pytest
from django.apps import apps
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from customers.actions import record_consent
from customers.models import Household
from tests.factories import (
    NOON,
    TODAY,
    make_home,
    make_household,
    make_notice,
    make_plant,
    make_watch,
)
from warranties import bounces
from warranties.actions import addresses, noticing
from warranties.actions.bouncing import mark_mail, mark_number
from warranties.models import Notice
from warranties.notices import plan_notices
from warranties.notices.posting import NotTaken

pytestmark = pytest.mark.django_db
GONE, RIGHT = "gone@example.com", "right@example.com"
SAID = "5.1.1 550 No such user"


def a_household(*order: str, **fields: str) -> Household:
    given = {"mail": GONE, "phone": "+16025550123", "channel_order": list(order), **fields}
    household = make_household(**given)
    for channel in order:
        record_consent(household=household, channel=channel, given=True, how="said", at=NOON)
    for channel in {"mail", "text", "letter", "call"} - {*order}:
        record_consent(household=household, channel=channel, given=False, how="said", at=NOON)
    return household


def a_notice(household: Household, channel: str = "mail", **fields: object) -> Notice:
    home = make_home(household=household, street="14 Juniper Bend")
    watch = make_watch(plant=make_plant(home=home), opens_on=TODAY)
    return make_notice(watch=watch, channel=channel, **fields)


def came_back(*order: str) -> Notice:
    """A mail that came back, its address marked."""
    notice = a_notice(a_household(*order), state="sent", sent_at=NOON, bounced_at=NOON)
    mark_mail(household=notice.household_id, address=GONE, said=SAID, at=NOON)
    return notice


def correct(household: Household, channel: str = "mail", address: str = RIGHT) -> int:
    fresh = Household.objects.get(pk=household.pk)
    return addresses.correct_address(household=fresh, channel=channel, address=address, at=NOON)


@pytest.mark.parametrize(
    ("said", "no_such", "plain"),
    [
        ("5.1.1 <x>: User unknown", True, "no such mailbox"),
        ("5.1.2 Bad destination", True, "no such mail domain"),
        ("5.2.1 Mailbox disabled", True, "shut"),
        ("No such user here", True, "refuses the address"),
        ("5.7.1 Relay access denied", False, "refuses"),
        ("5.2.2 Mailbox full", False, "refuses"),
    ],
)
def test_what_a_server_said_is_understood(said: str, no_such: bool, plain: str) -> None:
    assert bounces.says_no_such(said) == no_such
    assert plain in bounces.in_plain_words(said)


@pytest.mark.parametrize(
    ("order", "state", "channel"),
    [(("text", "letter"), "planned", "letter"), (("text",), "held", "text")],
)
def test_a_number_that_gets_no_texts_is_marked_and_the_notice_goes_on(
    monkeypatch: pytest.MonkeyPatch, order: tuple[str, ...], state: str, channel: str
) -> None:
    def refuse(*_args: object, **_how: object) -> None:
        raise NotTaken("The text gateway said: 422 No", permanent=True, no_such=True)

    monkeypatch.setattr(noticing, "post_text", refuse)
    notice = a_notice(a_household(*order), "text")

    noticing.send(pk=notice.pk, at=NOON)

    notice.refresh_from_db()
    notice.household.refresh_from_db()
    assert (notice.state, notice.channel) == (state, channel)
    assert notice.household.text_failed == "+16025550123"
    assert notice.household.text_failed_at == NOON


def test_an_address_that_the_server_refuses_is_marked_at_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse(*_args: object, **_how: object) -> None:
        raise NotTaken(SAID, permanent=True, no_such=True)

    monkeypatch.setattr(noticing, "post", refuse)
    notice = a_notice(a_household("mail", "call"))

    assert noticing.send(pk=notice.pk, at=NOON) == "planned"

    notice.refresh_from_db()
    assert notice.channel == "call"
    assert Household.objects.get().mail_failed == GONE


def test_the_first_day_stays_and_a_changed_address_is_left_alone() -> None:
    household = a_household("mail")
    for at in (NOON, NOON.replace(year=2030)):
        mark_mail(household=household.pk, address=GONE.upper(), said=SAID, at=at)
        mark_number(household=household.pk, number="+16025550199", said="422", at=at)

    household.refresh_from_db()
    assert (household.mail_failed, household.mail_failed_at) == (GONE, NOON)
    assert (household.text_failed, household.text_failed_at) == ("", None)


def test_nothing_else_reached_them_so_it_goes_out_anew() -> None:
    notice = came_back("mail")
    plan_notices(NOON)
    assert Notice.objects.count() == 1  # no other channel

    assert correct(notice.household) == 1

    again = Notice.objects.get(after=notice)
    assert (again.channel, again.state, again.household.mail) == ("mail", "planned", RIGHT)
    assert correct(notice.household) == 0


def test_what_waits_as_a_letter_is_taken_back() -> None:
    notice = came_back("mail", "letter")
    plan_notices(NOON)
    assert Notice.objects.get(after=notice).channel == "letter"

    assert correct(notice.household) == 1

    assert Notice.objects.get(after=notice).channel == "mail"
    assert Notice.objects.count() == 2


def test_a_letter_that_is_printed_stays_one() -> None:
    notice = came_back("mail", "letter")
    plan_notices(NOON)
    Notice.objects.filter(after=notice).update(state="sent", sent_at=NOON)

    assert correct(notice.household) == 0


def test_what_is_held_for_want_of_a_channel_is_sent() -> None:
    held = a_notice(a_household("text"), "text", state="held", state_reason=noticing.NO_OTHER)
    mark_number(household=held.household_id, number="+16025550123", said="422", at=NOON)

    assert correct(held.household, "text", "+16025550188") == 1

    held.refresh_from_db()
    assert held.state == "planned"


def test_what_is_true_no_more_is_not_told_again() -> None:
    notice = came_back("mail")
    assert notice.plant
    notice.plant.removed_on = TODAY
    notice.plant.save()

    assert correct(notice.household) == 0


def test_the_office_sees_them_and_puts_one_right(office: Client) -> None:
    notice = came_back("mail", "letter")
    mark_number(household=notice.household_id, number="+16025550123", said="422 No", at=NOON)
    key = notice.household_id

    page = office.get("/outbox/addresses/").content.decode()
    assert GONE in page
    assert "There is no such mailbox" in page
    assert "5.1.1 550 No such user" in page
    assert "(602) 555-0123" in page
    assert "Notices go by letter." in page
    assert "came back" in office.get("/tray/").content.decode()
    assert "1 household with an address" in office.get("/outbox/").content.decode()
    one = f"/outbox/addresses/{key}/mail/"
    assert office.post(one, {"address": "no address"}).status_code == 422
    assert office.post(one, {"address": RIGHT}).status_code == 302
    assert GONE not in office.get("/outbox/addresses/").content.decode()
    assert office.get(one).status_code == 404  # It is in order.
    history = Household.objects.get().history.first()
    assert history
    assert history.history_user


def test_the_file_has_the_same_rows(office: Client) -> None:
    came_back("mail", "call")

    answer = office.get("/outbox/addresses/?export=csv")

    text = b"".join(answer.streaming_content).decode()  # type: ignore[attr-defined]
    assert GONE in text
    assert "They are called." in text


def test_a_household_that_holds_nothing_is_not_shown(office: Client) -> None:
    household = a_household("mail")
    mark_mail(household=household.pk, address=GONE, said=SAID, at=NOON)

    assert "Every address that we used works" in office.get("/outbox/addresses/").content.decode()


def test_few_queries(office: Client, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    for number in range(3):
        household = a_household("mail", mail=f"gone{number}@example.com")
        make_home(household=household, street=f"{number} Juniper Bend")
        mark_mail(household=household.pk, address=household.mail, said=SAID, at=NOON)

    with django_assert_num_queries(6):
        office.get("/outbox/addresses/")


def test_techs_see_none(tech: Client) -> None:
    assert tech.get("/outbox/addresses/").status_code == 403
    assert tech.post("/outbox/addresses/1/mail/", {"address": RIGHT}).status_code == 403


def test_old_marks_get_their_day() -> None:
    step = import_module("warranties.migrations.0004_since_when_addresses_fail")
    notice = came_back("mail")
    Household.objects.update(mail_failed_at=None, mail_failed_said="")
    Notice.objects.update(bounce_said=SAID)

    step.note_days(apps, None)

    notice.household.refresh_from_db()
    assert (notice.household.mail_failed_at, notice.household.mail_failed_said) == (NOON, SAID)
