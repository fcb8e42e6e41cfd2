"""What plants are called: by their kind's name in the reader's language, or as a household says."""

import pytest
from django.utils.translation import override

from customers.models import Plant
from customers.plantnames import NAMES, kind_named, plant_said
from warranties.growth import KINDS


def test_each_kind_whose_growth_is_known_has_its_names() -> None:
    assert set(NAMES) == set(KINDS)


@pytest.mark.parametrize(
    ("name", "english", "spanish"),
    [
        ("texas sage", "Texas sage", "cenizo"),
        ("Cenizo ", "Texas sage", "cenizo"),
        ("crapemyrtle", "crape myrtle", "crespón"),
        ("Grandma's lantana", "Grandma's lantana", "Grandma's lantana"),
        ("", "", ""),
    ],
)
def test_a_name_is_said_in_the_language_of_its_reader(
    name: str, english: str, spanish: str
) -> None:
    assert (plant_said(name, "en"), plant_said(name, "es")) == (english, spanish)


@pytest.mark.parametrize("kind", NAMES)
def test_a_kind_is_known_by_each_of_its_names(kind: str) -> None:
    assert {kind_named(name.upper()) for name in (kind, *NAMES[kind])} == {kind}


def test_a_plant_says_its_name_and_place_to_its_reader() -> None:
    plant = Plant(name="apache plume", place="at leg 4")

    with override("en"):
        english = str(plant)
    with override("es"):
        spanish = str(plant)

    assert (english, spanish) == ("Apache plume (at leg 4)", "pluma apache (en el tramo 4)")
