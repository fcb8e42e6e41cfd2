"""Folding. Short forms: USPS Publication 28, appendices B and C1."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from customers.folding import (
    LONGEST_KEY,
    address_key,
    asked_words,
    find_words,
    fold,
    phone_words,
    street_order,
)


def key(street: str, unit: str = "", city: str = "Mesquite Flat", region: str = "AZ") -> str:
    return address_key(street=street, unit=unit, city=city, region=region, country="US")


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ((("14 Juniper Street"), ""), (("14 JUNIPER ST."), "")),
        (("14 North Juniper Ave", ""), ("14 N. Juniper Avenue", "")),
        (("14 Juniper Bend", "Apt 4"), ("14 Juniper Bend", "#4")),
        (("14 Juniper Bend", "Unit 4"), ("14 Juniper Bend Apt. 4", "")),
        (("9 Saint John Boulevard", ""), ("9 St John Blvd", "")),
        (("3 Peñasco Court", ""), ("3 Penasco Ct", "")),
        (("3 O'Neil Lane", ""), ("3 O\u2019Neil Ln", "")),
        (("14\u00a0 Juniper\tBend ", ""), ("14 Juniper Bend", "")),
        (("50 First Street", ""), ("50 1st St", "")),
        (("7 Ｗide Road", ""), ("7 Wide Rd", "")),
    ],
)
def test_one_address_written_twice_is_one(one: tuple[str, str], other: tuple[str, str]) -> None:
    assert key(*one) == key(*other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (("14 Juniper Bend", "4"), ("14 Juniper Bend", "5")),
        (("14 N Juniper Bend", ""), ("14 S Juniper Bend", "")),
        (("14 Juniper Bend", ""), ("15 Juniper Bend", "")),
        (("14 Juniper Street", ""), ("14 Juniper Avenue", "")),
        (("14 Juniper Bend", "Bldg 4"), ("14 Juniper Bend", "Apt 4")),
    ],
)
def test_two_addresses_stay_two(one: tuple[str, str], other: tuple[str, str]) -> None:
    assert key(*one) != key(*other)


def test_a_state_is_its_code_and_towns_differ_by_it() -> None:
    assert key("1 A Street", region="Arizona") == key("1 A Street", region="az")
    assert key("1 A Street", region="AZ") != key("1 A Street", region="NM")
    assert key("1 A Street", city="Mount Vernon") == key("1 A Street", city="MT. VERNON")


def test_an_address_of_marks_alone_keeps_its_own_key() -> None:
    assert key("¿?") != key("!!")


@given(st.text(), st.text())
def test_folding_twice_changes_nothing_and_a_key_fits(street: str, unit: str) -> None:
    assert fold(fold(street)) == fold(street)
    assert len(key(street, unit)) <= LONGEST_KEY


def test_streets_stand_together_and_numbers_count_as_numbers() -> None:
    streets = ["100 Juniper Bend", "9 Juniper Bend", "9a Juniper Bend", "2 Agave Court", "Mill"]

    assert sorted(streets, key=street_order) == [
        "2 Agave Court",
        "9 Juniper Bend",
        "9a Juniper Bend",
        "100 Juniper Bend",
        "Mill",
    ]


def test_a_number_of_ours_is_found_whole_and_in_parts() -> None:
    assert {"2026", "0117", "20260117"} <= find_words("2026-0117")
    assert {"rk", "000123", "45", "rk00012345", "00012345"} <= find_words("RK-000123-45")
    assert set(asked_words("RK-2026-000123-45")) <= find_words("RK-2026-000123-45")


def test_a_phone_is_found_from_where_people_begin_it() -> None:
    assert phone_words("+16025550123") == {"16025550123", "6025550123", "5550123", "0123"}
    assert phone_words("") == set()


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ("14 Juniper Street", ["14", "juniper", "st"]),
        ("(602) 555-0123", ["6025550123"]),
        ("602.555.0123 ortega", ["6025550123", "ortega"]),
        ("2026-0117", ["20260117"]),
        ("2026-01", ["2026", "01"]),
        ("Ana.Ortega@Example.com", ["ana.ortega@example.com"]),
        ("ana ANA aná", ["ana"]),
        ("  !? ", []),
        ("a\0b", ["a", "b"]),
    ],
)
def test_what_is_asked_becomes_words(asked: str, words: list[str]) -> None:
    assert asked_words(asked) == words
