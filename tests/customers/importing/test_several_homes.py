"""Rows of one household with several homes: recognised by name and contact, never by name alone."""

import pytest

from customers import finding
from customers.actions import importing
from customers.models import Consent, Home, Household, Ownership
from tests.customers.importing.tables import bring_in, loaded, row
from tests.factories import NOON, make_home, make_household

pytestmark = pytest.mark.django_db

ANA = {"name": "Ana Ortega", "phone": "602-555-0123"}


def names() -> list[str]:
    return list(Household.objects.order_by("pk").values_list("name", flat=True))


def test_the_same_name_and_phone_is_one_household_with_several_homes() -> None:
    run = bring_in(
        row(**ANA, street="14 Juniper Bend", fitted="2024-03-09"),
        row(
            name='"ORTEGA, Ana"',
            phone="(602) 555 0123",
            street="16 Juniper Bend",
            mail="a@b.example",
        ),
        row(name="Ana Ortega", mail="A@B.example", street="2 Mill Road", mail_consent="yes"),
    )

    household = Household.objects.get()
    assert (run.rows_new, run.homes_joined) == (3, 2)
    assert Home.objects.filter(ownerships__household=household).count() == 3
    assert household.mail == "a@b.example"
    assert Consent.objects.get().given
    assert finding.homes_found("a@b.example").count() == 3
    assert Household.history.count() == 1


def test_a_name_alone_or_a_number_alone_is_never_enough() -> None:
    run = bring_in(
        row(name="Ana Ortega", street="14 Juniper Bend"),
        row(name="Ana Ortega", street="16 Juniper Bend"),
        row(name="Ana Ortega", phone="602-555-0123", street="18 Juniper Bend"),
        row(name="Bo Li", phone="602-555-0123", street="20 Juniper Bend"),
        row(name="Ana Ortega Ruiz", phone="602-555-0123", street="22 Juniper Bend"),
        row(phone="602-555-0123", street="24 Juniper Bend"),
        row(phone="602-555-0123", street="26 Juniper Bend"),
    )

    assert run.homes_joined == 0
    assert len(names()) == Ownership.objects.count() == 7


def test_the_same_table_twice_doubles_nothing() -> None:
    rows = [row(**ANA, street=f"{n} Juniper Bend", notes=f"Gate {n}.") for n in range(1, 6)]
    bring_in(*rows)
    kept = list(Household.objects.values()), list(Ownership.objects.values())

    again = bring_in(*rows)

    assert (again.rows_known, again.rows_new, again.homes_joined) == (5, 0, 0)
    assert (list(Household.objects.values()), list(Ownership.objects.values())) == kept
    assert Household.objects.get().note.splitlines() == [f"Gate {n}." for n in range(1, 6)]


def test_joins_a_household_that_we_have_and_keeps_its_no_to_mails() -> None:
    household = make_household(name="Ana Ortega", phone="+16025550123")
    household.consents.update(given=False)
    known = make_home(household=household, street="14 Juniper Bend")

    bring_in(row(**ANA, street="16 Juniper Bend", mail="new@b.example", mail_consent="yes"))

    assert [home.household() for home in Home.objects.all()] == [household, household]
    assert not Consent.objects.get().given
    assert known in finding.homes_found("0123")


def test_a_later_chunk_and_a_later_table_know_the_household(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("customers.actions.importing.running.CHUNK", 2)

    bring_in(*(row(**ANA, street=f"{n} Juniper Bend") for n in range(1, 6)))
    bring_in(row(**ANA, street="6 Juniper Bend"))

    assert names() == ["Ana Ortega"]
    assert Ownership.objects.count() == 6


def test_the_preview_says_how_many_and_writes_nothing() -> None:
    run = loaded(
        row(**ANA, street="14 Juniper Bend"),
        row(**ANA, street="16 Juniper Bend"),
        row(name="Bo Li", street="18 Juniper Bend"),
        row(name="Cy", street=""),
    )

    seen = importing.preview(run=run, at=NOON, rows=2)
    part = importing.preview(run=run, at=NOON, looked_at=3)

    assert [(each.name, each.streets) for each in seen.several] == [
        ("Ana Ortega", ["14 Juniper Bend", "16 Juniper Bend"])
    ]
    assert (seen.new, seen.known, seen.refused, seen.is_whole) == (3, 0, 1, True)
    assert (part.looked_at, part.is_whole, len(seen.rows)) == (3, False, 2)
    assert not Home.objects.exists()
    assert not Household.objects.exists()
