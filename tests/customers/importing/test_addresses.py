"""Whole addresses taken apart."""

import pytest

from customers.importing.addresses import Address, looks_whole, parse_address


@pytest.mark.parametrize(
    ("text", "address"),
    [
        (
            "14 Juniper Bend, Mesquite Flat, AZ 85000",
            Address("14 Juniper Bend", "", "Mesquite Flat", "AZ", "85000"),
        ),
        (
            "14 Juniper Bend\r\nMesquite Flat AZ 85000-1234",
            Address("14 Juniper Bend", "", "Mesquite Flat", "AZ", "85000-1234"),
        ),
        (
            "14 Juniper Bend, #4, Mesquite Flat, Arizona, 85000, USA",
            Address("14 Juniper Bend", "#4", "Mesquite Flat", "Arizona", "85000", "US"),
        ),
        (
            "14 Juniper Bend, New Town, New Mexico 87001",
            Address("14 Juniper Bend", "", "New Town", "New Mexico", "87001"),
        ),
        (
            "#323-460 Willow Street\nLakeside, BC  V5L4W3",
            Address("460 Willow Street", "#323", "Lakeside", "BC", "V5L4W3"),
        ),
        ("14 Juniper Bend, Mesquite Flat", Address("14 Juniper Bend", "", "Mesquite Flat")),
        ("14 Juniper Bend, Unit 3", Address("14 Juniper Bend", "Unit 3")),
        ("14 Juniper Bend Apt. 4b", Address("14 Juniper Bend", "Apt. 4b")),
        ("14 Juniper Bend", Address("14 Juniper Bend")),
        ("14 Suite Lane", Address("14 Suite Lane")),
        (" , ", Address("")),
    ],
)
def test_takes_an_address_apart(text: str, address: Address) -> None:
    assert parse_address(text) == address


def test_looks_whole_only_with_number_town_and_state() -> None:
    assert looks_whole("14 Juniper Bend, Mesquite Flat, AZ 85000")
    assert not looks_whole("14 Juniper Bend, Unit 3")
    assert not looks_whole("Ortega, Ana")
