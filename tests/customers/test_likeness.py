"""Addresses that differ by a slip, and those that only look so."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from customers.likeness import Place, looked_up_by, perhaps_same, slips


def place(street: str, city: str = "Flat", unit: str = "", code: str = "", who: str = "") -> Place:
    return Place(street, unit, city, code, frozenset({who} if who else ()))


@pytest.mark.parametrize(
    ("one", "other", "so"),
    [
        ("14 Juniper Bend", "14 Junipre Bend", True),
        ("14 Juniper Bend", "14 Juniper", True),
        ("14 N Juniper Bend", "14 Juniper Bend", True),
        ("14 Penstemon Way", "14 Penstimen Way", True),  # two slips in a long name
        ("14 Juniper Bend", "16 Juniper Bend", False),
        ("14 Juniper Bend", "14 Jumpier Bend", False),
        ("14 N Juniper Bend", "14 S Juniper Bend", False),
        ("14 Juniper Bend", "14 Juniper Lane", False),
        ("14 11th Street", "14 12th Street", False),
        ("14 Elm Street", "14 Elk Street", False),  # too short to tell a slip from a name
        ("Juniper Bend", "Junipre Bend", False),
    ],
)
def test_a_slip_is_asked_about_and_another_street_is_not(one: str, other: str, so: bool) -> None:
    assert perhaps_same(place(one), place(other)) is so
    assert perhaps_same(place(other), place(one)) is so


@pytest.mark.parametrize(
    ("one", "other", "so"),
    [
        (place("14 Juniper Bend"), place("14 Junipre Bend", "Flats"), True),
        (place("14 Juniper Bend"), place("14 Juniper Bend", "Mesa"), False),
        (
            place("14 Juniper Bend", code="85001"),
            place("14 Juniper Bend", "Mesa", code="85001-1234"),
            True,
        ),
        (
            place("14 Juniper Bend", who="ana ortega"),
            place("14 Juniper Bend", "Mesa", who="ana ortega"),
            True,
        ),
        (place("14 Juniper Bend", unit="1"), place("14 Junipre Bend", unit="2"), False),
    ],
)
def test_town_code_or_people_must_agree(one: Place, other: Place, so: bool) -> None:
    assert perhaps_same(one, other) is so


@pytest.mark.parametrize(
    ("one", "other", "count"),
    [("ab", "ba", 1), ("juniper", "junper", 1), ("abc", "", 3), ("same", "same", 0)],
)
def test_counts_slips(one: str, other: str, count: int) -> None:
    assert slips(one, other) == count


@given(st.text("abc", max_size=6), st.text("abc", max_size=6))
def test_slips_are_the_same_both_ways_and_none_only_for_the_same(one: str, other: str) -> None:
    assert slips(one, other) == slips(other, one)
    assert (slips(one, other) == 0) == (one == other)


def test_is_looked_up_by_number_and_beginning_whatever_the_direction() -> None:
    assert looked_up_by("14 North Juniper Bend") == looked_up_by("14 Jungle Rd") == "14 jun"
    assert looked_up_by("Juniper Bend") == looked_up_by("") == ""
