import pytest

from warranties.stings import speaks_of_a_sting


@pytest.mark.parametrize(
    "text",
    [
        "My son was stung in bed",
        "It tried to STING the dog",
        "two stings this week",
        "Al niño le picó uno",
        "una picadura en el pie",
        "Está picado",
    ],
)
def test_hears_a_sting_in_english_and_spanish(text: str) -> None:
    assert speaks_of_a_sting(text)


@pytest.mark.parametrize(
    "text", ["One on the kitchen wall", "We were hosting guests", "salsa picante", "a picture", ""]
)
def test_hears_none_where_there_is_none(text: str) -> None:
    assert not speaks_of_a_sting(text)
