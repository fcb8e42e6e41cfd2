"""Several homes a household, several owners a home."""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from customers import actions
from customers.actions import Said
from customers.models import Home, Household, Ownership
from tests.factories import NOON, TODAY, make_home, make_household

pytestmark = pytest.mark.django_db
NOBODY_ASKED = Said({}, "not asked")


def test_a_household_we_know_gets_another_home(office: Client) -> None:
    home = make_home()
    page = reverse("home-another", args=[home.pk])
    assert page in office.get(home.get_absolute_url()).content.decode()
    typed = {
        "street": "3 Ocotillo Court",
        "city": "Mesquite Flat",
        "country": "US",
        "zone": "America/Phoenix",
    }

    answer = office.post(page, typed)

    assert answer.status_code == 302
    household = home.household()
    assert household is not None
    assert set(Home.objects.of(household, date(2100, 1, 1))) == set(Home.objects.all())
    assert Household.objects.count() == 1


def test_a_home_that_we_know_is_not_entered_again(office: Client) -> None:
    home, other = make_home(), make_home(street="3 Ocotillo Court")
    typed = {
        "street": "3 Ocotillo Ct",
        "city": "Mesquite Flat",
        "region": "AZ",
        "country": "US",
        "zone": "America/Phoenix",
    }

    answer = office.post(reverse("home-another", args=[home.pk]), typed)

    assert answer.status_code == 422
    assert other.get_absolute_url() in answer.content.decode()


def test_an_owner_beside_the_first_changes_nothing_for_the_first(office: Client) -> None:
    home = make_home()
    first = home.household()
    typed = {
        "on": "2026-03-02",
        "household-name": "Ines Duarte",
        "household-language": "es",
        "consent-how": "told us",
    }

    answer = office.post(reverse("owner-add", args=[home.pk]), typed)

    assert answer.status_code == 302
    home.refresh_from_db()
    assert home.household() == first
    assert [each.name for each in home.owners()] == [str(first), "Ines Duarte"]
    assert "Also owned by Ines Duarte" in office.get(home.get_absolute_url()).content.decode()
    assert [each.holder_name for each in Home.objects.with_household()] == [str(first)]  # type: ignore[attr-defined]


def test_nobody_owns_a_home_twice() -> None:
    home = make_home()
    household = home.household()
    assert household is not None

    with pytest.raises(actions.NotChangeable, match="already"):
        actions.add_owner(home=home, household=household, said=NOBODY_ASKED, on=TODAY, at=NOON)


@pytest.mark.parametrize("enter", [actions.add_owner, actions.change_owner])
def test_a_second_click_enters_no_second_household(enter: Callable[..., Ownership]) -> None:
    home = make_home()

    def click() -> None:
        household = Household(name="Ines Duarte")
        enter(home=home, household=household, said=NOBODY_ASKED, on=TODAY, at=NOON)

    click()
    with pytest.raises(actions.NotChangeable, match="already"):
        click()

    assert Household.objects.filter(name="Ines Duarte").count() == 1


def test_an_owner_beside_comes_after_the_first() -> None:
    household = make_household()

    with pytest.raises(actions.NotChangeable, match="since 1 January 2020"):
        actions.add_owner(
            home=make_home(), household=household, said=NOBODY_ASKED, on=date(2019, 1, 1), at=NOON
        )


def test_a_sale_ends_every_ownership() -> None:
    home, buyer = make_home(), make_household()
    actions.add_owner(home=home, household=make_household(), said=NOBODY_ASKED, on=TODAY, at=NOON)

    actions.change_owner(home=home, household=buyer, said=NOBODY_ASKED, on=TODAY, at=NOON)

    assert Home.objects.get().owners() == [buyer]
