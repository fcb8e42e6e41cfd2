"""Parts of texts. Figures: 3GPP TS 23.038 6.2.1 and TS 23.040 9.2.3.24.1."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from warranties import segments


@pytest.mark.parametrize(
    ("text", "alphabet", "units", "parts"),
    [
        ("", "GSM-7", 0, 0),
        ("a" * 160, "GSM-7", 160, 1),
        ("a" * 161, "GSM-7", 161, 2),
        ("a" * 306, "GSM-7", 306, 2),
        ("a" * 307, "GSM-7", 307, 3),
        ("€" * 80, "GSM-7", 160, 1),
        ("€" * 81, "GSM-7", 162, 2),
        ("a" * 152 + "€" + "a" * 10, "GSM-7", 164, 2),
        ("a" * 152 + "€" + "a" * 152, "GSM-7", 306, 3),  # the euro goes whole into the second
        ("ó" * 70, "UCS-2", 70, 1),
        ("ó" * 71, "UCS-2", 71, 2),
        ("ó" * 134, "UCS-2", 134, 2),
        ("ó" * 135, "UCS-2", 135, 3),
        ("🦂" * 35, "UCS-2", 70, 1),
        ("🦂" * 36, "UCS-2", 72, 2),
        ("🦂" * 67, "UCS-2", 134, 3),  # 33 whole ones a part
        ("¿Señor? ÑÜ àèìòù", "GSM-7", 16, 1),
        ("á", "UCS-2", 1, 1),
        ("`", "UCS-2", 1, 1),
    ],
)
def test_counts_as_the_standard(text: str, alphabet: str, units: int, parts: int) -> None:
    assert segments.count(text) == (alphabet, units, parts)


def test_the_tables_are_whole() -> None:
    """128 places less the escape; ten in the extension table, with the page break."""
    assert (len(segments.BASIC), len(segments.EXTENSION)) == (127, 10)
    assert not segments.BASIC & segments.EXTENSION


@given(st.text(max_size=400))
def test_every_part_has_room(text: str) -> None:
    counted = segments.count(text)
    alone, joined = segments.ROOM[counted.alphabet]

    assert counted.units <= max(alone, counted.parts * joined)
    assert counted.parts <= counted.units


def test_odd_characters_are_named_with_what_may_stand_for_them() -> None:
    assert segments.odd("señor: «más» “ya” más €") == ["«", "á", "»", "“", "”"]
    assert segments.named("á") == "“á” (latin small letter a with acute)"
    assert segments.named("…") == "“…” (horizontal ellipsis; write ...)"
    assert segments.named("\u00a0").endswith("(no-break space; write a plain space)")
    assert segments.named("\u0007").endswith("(u+0007)")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", []),
        ("a" * 306, []),
        ("a" * 307, ["3 segments"]),
        ("más", ["UCS-2, 70 characters a segment instead of 160, for the sake of “á”"]),
        ("á" * 135, ["UCS-2", "3 segments"]),
    ],
)
def test_says_what_makes_a_text_dear(text: str, said: list[str]) -> None:
    found = list(segments.cautions(text))

    assert len(found) == len(said)
    assert all(part in caution for part, caution in zip(said, found, strict=True))
