from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from customers import actions, signals
from customers.models import Consent, Home, Household
from tests.factories import NOON, make_home, make_household

SAID = actions.Said({"mail": False, "text": True}, "wrote to us")


def test_a_consent_taken_back_is_kept_with_the_one_before(db: None) -> None:
    household = make_household()

    actions.record_consents(household=household, said=SAID, at=NOON + timedelta(days=1))

    mail = household.consents.get(channel="mail")
    assert (mail.given, mail.how) == (False, "wrote to us")
    assert list(mail.history.values_list("given", "how")) == [
        (False, "wrote to us"),
        (True, "told us by phone"),
    ]


def test_the_same_consent_again_keeps_the_first_time(db: None) -> None:
    household = make_household()

    actions.record_consents(
        household=household, said=actions.Said({"mail": True}, "again"), at=NOON + timedelta(days=1)
    )

    consent = Consent.objects.get()
    assert (consent.at, consent.how) == (NOON, "told us by phone")


def test_the_office_notes_consent_on_its_page(office: Client) -> None:
    home = make_home()

    answer = office.post(
        reverse("home-consent", args=[home.pk]), {"text": "on", "how": "signed at the fair"}
    )

    assert answer.status_code == 302
    household = home.household()
    assert household
    assert dict(household.consents.values_list("channel", "given")) == {
        "mail": False,
        "text": True,
        "letter": False,
        "call": False,
    }


def test_consent_needs_how_we_know(office: Client) -> None:
    home = make_home()

    assert office.post(reverse("home-consent", args=[home.pk]), {"text": "on"}).status_code == 422


def test_changes_the_household_and_keeps_who_did(office: Client) -> None:
    home = make_home()

    office.post(
        reverse("household-change", args=[home.pk]),
        {"name": "Ana Ortega", "phone": "602 555 0177", "language": "es"},
    )

    household = home.household()
    assert household
    assert (household.name, household.phone.as_e164) == ("Ana Ortega", "+16025550177")
    assert household.history.first().history_user.username == "office"


def test_changes_the_home(office: Client) -> None:
    home = make_home(street="14 Juniper Bend")

    answer = office.post(reverse("home-change", args=[home.pk]), typed_home("16 Juniper Bend"))

    home.refresh_from_db()
    assert answer.status_code == 302
    assert (home.street, home.street_order) == ("16 Juniper Bend", "juniper bend 0000016")


def test_refuses_the_address_of_another_home(office: Client) -> None:
    other = make_home(street="16 Juniper Bend")
    home = make_home(street="14 Juniper Bend")

    answer = office.post(reverse("home-change", args=[home.pk]), typed_home("16 juniper bnd"))

    assert answer.status_code == 422
    assert f"We know {other} already" in answer.content.decode()
    assert "Change 14 Juniper Bend" in answer.content.decode()


def typed_home(street: str) -> dict[str, str]:
    return {
        "street": street,
        "city": "Mesquite Flat",
        "region": "AZ",
        "country": "US",
        "zone": "America/Phoenix",
    }


def hand_over(home: Home, **changes: Any) -> None:
    given = {"household": Household(name="Uma Vance"), "said": SAID, "on": date(2026, 3, 1)}
    actions.change_owner(home=home, at=NOON, **{**given, **changes})


def test_hands_the_home_to_its_new_owner_and_reports_it(db: None) -> None:
    home = make_home()
    former = home.household()
    heard: list[dict[str, Any]] = []

    def hear(**report: Any) -> None:
        heard.append(report)

    signals.owner_changed.connect(hear)
    try:
        hand_over(home)
    finally:
        signals.owner_changed.disconnect(hear)

    new = Home.objects.get().household()
    assert new
    assert new.name == "Uma Vance"
    assert home.ownerships.get(household=former).until == date(2026, 3, 1)
    assert new.consents.get(channel="text").given
    assert [(each["home"], each["household"], each["on"]) for each in heard] == [
        (home, new, date(2026, 3, 1))
    ]


def test_refuses_a_day_before_it_last_changed_hands(db: None) -> None:
    home = make_home()
    hand_over(home)

    with pytest.raises(actions.NotChangeable, match="choose a day after"):
        hand_over(home, household=Household(name="Too Late"), on=date(2026, 2, 1))

    assert not Household.objects.filter(name="Too Late").exists()


def test_refuses_whoever_holds_it_already(db: None) -> None:
    home = make_home()

    with pytest.raises(actions.NotChangeable, match="already"):
        hand_over(home, household=home.household())


def test_the_office_hands_a_home_over_on_its_page(office: Client) -> None:
    home = make_home()
    former = home.household()
    typed = {
        "on": "2026-03-01",
        "household-name": "Uma Vance",
        "household-language": "en",
        "consent-how": "at the sale",
    }

    answer = office.post(reverse("owner-change", args=[home.pk]), typed)

    page = office.get(home.get_absolute_url()).content.decode()
    assert answer.status_code == 302
    assert "Now held by Uma Vance." in page
    assert f"{former} held it from 1 January 2020 to 1 March 2026." in page


def test_the_page_says_why_it_refuses(office: Client) -> None:
    home = make_home()
    typed = {"on": "2019-03-01", "household-name": "Uma", "household-language": "en"}

    answer = office.post(
        reverse("owner-change", args=[home.pk]), {**typed, "consent-how": "at the sale"}
    )

    assert answer.status_code == 422
    assert "choose a day after that" in answer.content.decode()
