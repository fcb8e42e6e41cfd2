from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from customers import actions
from customers.models import Home, Household
from tests.factories import NOON, make_home, make_household

TYPED = {
    "home-street": "14 Juniper Bend",
    "home-city": "Mesquite Flat",
    "home-region": "AZ",
    "home-postal_code": "85000",
    "home-country": "US",
    "home-zone": "America/Phoenix",
    "household-name": "Ana and Luis Ortega",
    "household-phone": "(602) 555-0123",
    "household-mail": "ana@example.com",
    "household-language": "es",
    "consent-mail": "on",
    "consent-how": "told us by phone",
}


def enter(client: Client, **typed: str) -> Any:
    return client.post(reverse("home-new"), {**TYPED, **typed})


def unsaved_home(street: str = "14 Juniper Bend") -> Home:
    return Home(street=street, city="Mesquite Flat", region="AZ", country="US")


def test_enters_household_home_owner_and_consent(office: Client) -> None:
    response = enter(office)

    home = Home.objects.get()
    household = home.household()
    assert response.headers["Location"] == home.get_absolute_url()
    assert household
    assert (household.name, household.phone.as_e164, household.language) == (
        "Ana and Luis Ortega",
        "+16025550123",
        "es",
    )
    assert dict(household.consents.values_list("channel", "given")) == {
        "mail": True,
        "text": False,
        "letter": False,
        "call": False,
    }
    assert household.history.get().history_user.username == "office"


@pytest.mark.parametrize(
    ("street", "unit"),
    [
        ("14 JUNIPER BEND", ""),
        ("14  Juniper Bnd.", ""),
        ("14 Júniper Bend", ""),
    ],
)
def test_refuses_a_home_that_we_know_and_leads_to_it(
    office: Client, street: str, unit: str
) -> None:
    known = make_home(street="14 Juniper Bend")
    before = Household.objects.count()

    response = enter(office, **{"home-street": street, "home-unit": unit})

    page = response.content.decode()
    assert response.status_code == 422
    assert f'href="{known.get_absolute_url()}"' in page
    assert f"home {known.pk}" in page
    assert Household.objects.count() == before
    assert 'value="Ana and Luis Ortega"' in page


def test_refuses_what_somebody_else_entered_this_moment(
    db: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    known = make_home(street="14 Juniper Bend")
    monkeypatch.setattr("django.db.models.query.QuerySet.first", lambda _query: None)

    with pytest.raises(actions.HomeKnown) as refusal:
        actions.open_home(
            household=make_household(),
            home=unsaved_home(),
            said=actions.Said({}, "told us"),
            at=NOON,
        )

    assert refusal.value.home == known


def test_a_known_household_can_take_a_second_home(db: None) -> None:
    household = make_household()
    make_home(household=household)

    home = actions.open_home(
        household=household, home=unsaved_home(), said=actions.Said({}, "told us"), at=NOON
    )

    assert home.household() == household
    assert Household.objects.count() == 1


@pytest.mark.parametrize("phone", ["555-0123", "602 555 012", "+1 602 555 01234", "call me"])
def test_says_when_a_phone_number_cannot_be(office: Client, phone: str) -> None:
    response = enter(office, **{"household-phone": phone})

    assert response.status_code == 422
    assert "This number does not exist as written" in response.content.decode()
    assert not Home.objects.exists()


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("home-zone", "Phoenix", "No such time zone"),
        ("home-country", "U1", "two letters"),
        ("household-name", "", "required"),
        ("consent-how", "", "required"),
        ("home-street", "", "required"),
        ("household-mail", "ana@", "valid email"),
    ],
)
def test_says_what_is_wrong_where(office: Client, field: str, typed: str, says: str) -> None:
    response = enter(office, **{field: typed})

    assert response.status_code == 422
    assert says in response.content.decode()


def test_a_tech_does_not_enter_homes(tech: Client) -> None:
    assert enter(tech).status_code == 403
