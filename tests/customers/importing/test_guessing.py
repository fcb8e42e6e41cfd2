"""Columns guessed by their headings, in English and Spanish, and by their values."""

import pytest

from customers.importing.guessing import guess_columns


def guessed(**columns: list[str]) -> dict[str, list[str]]:
    named = {heading.replace("_", " "): texts for heading, texts in columns.items()}
    return guess_columns(list(named), named, region="US")


def test_guesses_by_headings() -> None:
    assert guessed(
        Customer_Name=[], E_mail_address=[], STREET_ADDRESS=[], Zip_Code=[], Notes=[]
    ) == {
        "name": ["Customer Name"],
        "mail": ["E mail address"],
        "note": ["Notes"],
        "street": ["STREET ADDRESS"],
        "postal_code": ["Zip Code"],
    }


def test_guesses_spanish_headings() -> None:
    assert guessed(
        Nombre=[],
        Apellidos=[],
        Teléfono=[],
        Correo_electrónico=[],
        Dirección=[],
        Ciudad=[],
        Código_postal=[],
    ) == {
        "name": ["Nombre"],
        "family_name": ["Apellidos"],
        "phone": ["Teléfono"],
        "mail": ["Correo electrónico"],
        "address": ["Dirección"],
        "city": ["Ciudad"],
        "postal_code": ["Código postal"],
    }


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("Install Date", "installed_on"),
        ("Fecha de instalación", "installed_on"),
        ("Job Total", "price"),
        ("Warranty #", "promise_number"),
        ("Warranty expires", "promise_until"),
        ("HOA", "neighbourhood"),
        ("Email opt-in", "mail_consent"),
        ("Customer Home Phone", "phone"),
    ],
)
def test_knows_the_heading(heading: str, field: str) -> None:
    assert guess_columns([heading], {}, region="US") == {field: [heading]}


def test_values_that_cannot_be_take_the_guess_away() -> None:
    assert guessed(Email=["see file", "none yet"], Phone=["black", "red"]) == {}


def test_unmistakable_values_make_a_guess() -> None:
    assert guessed(
        A=["ana@example.com", "bo@example.com"],
        B=["(602) 555-0123", "602-555-0124"],
        C=["14 Juniper Bend, Mesquite Flat, AZ 85000"],
        D=["7188924968"],
    ) == {"phone": ["B"], "mail": ["A"], "address": ["C"]}


def test_tells_a_street_from_a_whole_address() -> None:
    assert guessed(Address=["14 Juniper Bend", "15 Juniper Bend"]) == {"street": ["Address"]}
    assert guessed(Address=["14 Juniper Bend, Mesquite Flat, AZ 85000"]) == {"address": ["Address"]}


def test_a_second_telephone_column_is_the_second_telephone() -> None:
    assert guessed(Mobile_phone=["602-555-0123"], Work_phone=["602-555-0124"]) == {
        "phone": ["Mobile phone"],
        "second_phone": ["Work phone"],
    }
