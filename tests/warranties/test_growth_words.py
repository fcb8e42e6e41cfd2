"""The sentence a person reads."""

from datetime import date

import pytest

from warranties.growth import oracion, outlook, sentence

TODAY = date(2026, 3, 1)
PLANT = "The lantana at leg 4"


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (
            date(2026, 4, 12),
            date(2026, 4, 30),
            "is likely to touch the wall between 12 and 30 April.",
        ),
        (
            date(2026, 3, 28),
            date(2026, 4, 3),
            "is likely to touch the wall between 28 March and 3 April.",
        ),
        (
            date(2026, 12, 20),
            date(2027, 4, 3),
            "is likely to touch the wall between 20 December 2026 and 3 April 2027.",
        ),
        (
            date(2027, 4, 1),
            date(2027, 4, 9),
            "is likely to touch the wall between 1 and 9 April 2027.",
        ),
        (date(2026, 4, 1), date(2026, 4, 1), "is likely to touch the wall on 1 April."),
        (
            date(2026, 2, 1),
            date(2026, 4, 1),
            "may touch the wall any day now and is likely to by 1 April.",
        ),
        (date(2026, 2, 1), None, "may touch the wall any day now."),
        (date(2026, 5, 1), None, "may touch the wall from 1 May on."),
        (date(2025, 5, 1), date(2025, 6, 1), "has probably touched the wall since 1 June 2025."),
        (None, None, "is not likely ever to touch the wall."),
    ],
)
def test_sentence(low: date | None, high: date | None, words: str) -> None:
    found = outlook(low, high, today=TODAY)
    assert sentence(found, plant=PLANT, today=TODAY) == f"{PLANT} {words}"


def test_sentence_of_a_plant_that_touches() -> None:
    found = outlook(TODAY, TODAY, today=TODAY, touching=True)
    words = sentence(found, plant="The jojoba", surface="garden wall", today=TODAY)
    assert words == "The jojoba touches the garden wall."


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (
            date(2026, 4, 12),
            date(2026, 4, 30),
            "probablemente tocará la pared entre el 12 y el 30 de abril.",
        ),
        (
            date(2026, 3, 28),
            date(2026, 4, 3),
            "probablemente tocará la pared entre el 28 de marzo y el 3 de abril.",
        ),
        (
            date(2026, 12, 20),
            date(2027, 4, 3),
            "probablemente tocará la pared entre el 20 de diciembre de 2026 y "
            "el 3 de abril de 2027.",
        ),
        (
            date(2026, 4, 1),
            date(2026, 4, 1),
            "probablemente tocará la pared el 1 de abril.",
        ),
        (
            date(2026, 2, 1),
            date(2026, 4, 1),
            "puede tocar la pared cualquier día y es probable que lo haga a más tardar "
            "el 1 de abril.",
        ),
        (date(2026, 2, 1), None, "puede tocar la pared cualquier día."),
        (date(2026, 5, 1), None, "puede tocar la pared a partir del 1 de mayo."),
        (
            date(2025, 5, 1),
            date(2025, 6, 1),
            "probablemente ha tocado la pared desde el 1 de junio de 2025.",
        ),
        (None, None, "es poco probable que llegue a tocar la pared."),
    ],
)
def test_sentence_in_spanish(low: date | None, high: date | None, words: str) -> None:
    found = outlook(low, high, today=TODAY)
    plant = "La planta (lantana) en el tramo 4"

    assert oracion(found, plant=plant, today=TODAY) == f"{plant} {words}"
    assert oracion(found, today=TODAY) == f"{words[:1].upper()}{words[1:]}"


def test_sentence_in_spanish_of_a_plant_that_opens_the_ring() -> None:
    found = outlook(TODAY, TODAY, today=TODAY, touching=True)
    assert oracion(found, opens=True, today=TODAY) == "Abre el cerco."
