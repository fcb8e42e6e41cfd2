"""Places that follow each other are said in one."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from warranties.runs import in_runs


@pytest.mark.parametrize(
    ("places", "said"),
    [
        ([], []),
        (["leg 1", "leg 2"], ["leg 1", "leg 2"]),
        (["leg 1", "leg 2", "leg 3"], ["legs 1–3"]),
        (["leg 1, front", "leg 2, east", "leg 3"], ["legs 1–3"]),
        (["leg 1", "leg 2", "leg 4"], ["leg 1", "leg 2", "leg 4"]),
        (["leg 9", "leg 10", "leg 11", "gas riser at leg 2"], ["legs 9–11", "gas riser at leg 2"]),
        (["tramo 1", "tramo 2", "tramo 3"], ["tramos 1–3"]),
        (
            ["gas riser at leg 2", "porch column, left"],
            ["gas riser at leg 2", "porch column, left"],
        ),
        (["leg 3", "leg 2", "leg 1"], ["leg 3", "leg 2", "leg 1"]),
        (["leg 1", "leg 2", "leg 3", "leg 4", "leg 6", "leg 7", "leg 8"], ["legs 1–4", "legs 6–8"]),
    ],
)
def test_runs(places: list[str], said: list[str]) -> None:
    assert in_runs(places) == said


@given(st.sets(st.integers(1, 40)))
def test_no_leg_is_lost_or_added(numbers: set[int]) -> None:
    told: set[int] = set()
    for place in in_runs([f"leg {number}" for number in sorted(numbers)]):
        first, _, last = place.split(" ")[1].partition("–")
        told |= set(range(int(first), int(last or first) + 1))

    assert told == numbers
