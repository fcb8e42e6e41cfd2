"""The sentence a person reads."""

from datetime import date

import pytest

from warranties.growth import outlook, sentence

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
