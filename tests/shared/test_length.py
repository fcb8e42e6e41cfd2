import pickle
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.length import Length, System, UnreadableLength, length_text, total

# Written, and what it is in inches. Forms and values: standards of feet and inches are
# arithmetic (1 ft = 12 in); the forms occur in public unit tests of such readers.
TAPES = [
    ("7'-4 3/4\"", "88.75"),
    ("10' 4-1/2\"", "124.5"),
    ("3' 1/2\"", "36.5"),
    ("3 1/2'", "42"),
    ("3' 5", "41"),
    ("3' 2 1/2", "38.5"),
    ('1/16"', "0.0625"),
    ("7 ft 10 in 5/8 in", "94.625"),
    ("3' 3 1/4\"", "39.25"),
    ("15'-6 7/16\"", "186.4375"),
    ("24' 6 1/2\"", "294.5"),
    ("24’ 6 1/2”", "294.5"),
    ("24′ 6 1/2″", "294.5"),
    ("24′6½″", "294.5"),
    ("24' 6 1⁄2\"", "294.5"),
    ("24'6 1/2''", "294.5"),
    ("24'06\"1/2", "294.5"),
    ("24ft 6.5in", "294.5"),
    ("24 FT. 6.5 In.", "294.5"),
    ("24 feet, 6 1/2 inches", "294.5"),
    ("24 pies 6 1/2 pulgadas", "294.5"),
    ("24-6 1/2", "294.5"),
    ("24-6-1/2", "294.5"),
    ("24–6½", "294.5"),
    ("24-6", "294"),
    ("9-6", "114"),
    ("9' - 6\"", "114"),
    ("9'- 6\"", "114"),
    (" 9\u00a0-\u202f6 ", "114"),
    ("0-6", "6"),
    ("24.5 ft", "294"),
    ("24'", "288"),
    ('14"', "14"),
    ('9.16"', "9.16"),
    ("0' 0\"", "0"),
    ('.5"', "0.5"),
]
LASERS = [
    ("7.48 m", "7480"),
    ("7,48 m", "7480"),
    ("748cm", "7480"),
    ("7480 mm", "7480"),
    ("7480.25 MM", "7480.25"),
    ("7.480m", "7480"),
    ("7 m 48 cm", "7480"),
    ("7 metros", "7000"),
    ("2 m 5 mm", "2005"),
    ("74 cm 8 mm", "748"),
    ("0.00001 mm", "0"),
    ("0.00005 mm", "0.0001"),
]
REFUSED = [
    ("", 0, "nothing"),
    ("   ", 0, "nothing"),
    ("5' 14\"", 3, "12 in or more"),
    ("5' 12\"", 3, "12 in or more"),
    ('1/0"', 0, "1/0"),
    ('0/0"', 0, "1/0"),
    ("-3'", 0, "below zero"),
    ("−3'", 0, "below zero"),
    ("5' -3\"", 3, "below zero"),
    ("  - 3'", 2, "number is missing"),
    ("24", 2, "unit is missing"),
    ("24 6", 0, "unit of the first"),
    ("4-1/2", 5, "unit is missing"),
    ("24,", 3, "number is missing"),
    ("9--6", 2, "number is missing"),
    ("'", 0, "number is missing"),
    ('7,480"', 0, "two ways"),
    ("1,234 mm", 0, "two ways"),
    ("3' 5'", 3, "cannot follow"),
    ("24' 6\" 7\"", 7, "cannot follow"),
    ("6\" 24'", 3, "cannot follow"),
    ('2 m 3"', 4, "cannot follow"),
    ("2 m 30", 4, "cannot follow"),
    ("1 m 100 cm", 4, "100 cm or more"),
    ("3.5' 6\"", 5, "only the last"),
    ("3 1/2' 6\"", 7, "only the last"),
    ('5.5 1/2"', 4, "follows a decimal"),
    ("1/3'", 0, "1/3"),
    ("⅓'", 0, "1/3"),
    ('1/128"', 0, "1/128"),
    ('3/2"', 0, "not less than one"),
    ('61/2"', 0, "not less than one"),
    ("1/2/4\"", 3, "no meaning"),
    ("24 cubits", 3, "no unit"),
    ("24' six", 4, "number is missing"),
    ("1e5 m", 1, "no unit"),
    ("٣ ft", 0, "no meaning"),
    ("24' ∞", 4, "no meaning"),
    ("999999 m", 0, "100 km"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "inches"), TAPES, ids=[text for text, _ in TAPES])
def test_reads_a_tape(text: str, inches: str) -> None:
    assert Length.parse(text) == Length.of(Fraction(inches), "in")


@pytest.mark.parametrize(("text", "mm"), LASERS, ids=[text for text, _ in LASERS])
def test_reads_a_laser(text: str, mm: str) -> None:
    assert Length.parse(text).mm == Decimal(mm)


@pytest.mark.parametrize(
    ("text", "position", "reason"), REFUSED, ids=[repr(text) for text, *_ in REFUSED]
)
def test_says_where_it_cannot_read(text: str, position: int, reason: str) -> None:
    with pytest.raises(UnreadableLength) as refused:
        Length.parse(text)

    assert refused.value.position == position
    assert reason in refused.value.reason
    assert text in str(refused.value)
    assert f"character {position + 1}" in str(refused.value)


def test_says_it_in_the_readers_language() -> None:
    words = {
        "“{text}” cannot be read at character {at}: {reason}.": (
            "«{text}» no se puede leer en el carácter {at}: {reason}."
        ),
        "“{unit}” is no unit of length": "«{unit}» no es una unidad de longitud",
    }
    with pytest.raises(UnreadableLength) as refused:
        Length.parse("24 cubits")

    assert refused.value.said(lambda text: words[text]) == (
        "«24 cubits» no se puede leer en el carácter 4: «cubits» no es una unidad de longitud."
    )


@pytest.mark.parametrize("text", ["{text}", "3 {unit}", "{0}'", "3 {"])
def test_says_braces_as_they_are(text: str) -> None:
    with pytest.raises(UnreadableLength, match="cannot be read") as refused:
        Length.parse(text)

    assert f"“{text}”" in str(refused.value)


def test_refuses_a_text_without_end() -> None:
    with pytest.raises(UnreadableLength, match="too long"):
        Length.parse("9" * 100_000)


@given(st.text(alphabet=" 0123456789.,/'\"-½ftincmx′”٣\x00", max_size=70))
def test_reads_or_refuses_whatever_is_typed(text: str) -> None:
    try:
        assert Length.parse(text).mm >= 0
    except UnreadableLength as refused:
        assert 0 <= refused.position <= len(text)  # noqa: PT017


def test_a_lone_number_has_the_unit_it_is_given() -> None:
    assert Length.parse("24.5", unit="ft") == Length.parse("24' 6\"")
    assert Length.parse("7.48", unit="m") == Length.parse("7480 mm")
    assert Length.parse("24-6", unit="m") == Length.parse("24' 6\"")
    assert Length.parse("3 cm", unit="m") == Length.parse("30 mm")


@pytest.mark.parametrize(
    ("inches", "text"),
    [
        ("131.88", "10' 11 7/8\""),
        ("11.97", "1' 0\""),
        ("11.96", "0' 11 15/16\""),
        ("0.03", "0' 0\""),
        ("0.03125", "0' 0 1/16\""),
        ("124.5", "10' 4 1/2\""),
        ("0", "0' 0\""),
    ],
)
def test_writes_to_the_sixteenth_half_up(inches: str, text: str) -> None:
    assert Length.of(Fraction(inches), "in").feet_inches() == text


@pytest.mark.parametrize(
    ("denominator", "text"),
    [(1, "0' 3\""), (2, "0' 2 1/2\""), (8, "0' 2 5/8\""), (64, "0' 2 37/64\"")],
)
def test_writes_to_the_fraction_of_the_tape(denominator: int, text: str) -> None:
    assert Length.of(Fraction(165, 64), "in").feet_inches(denominator) == text


def test_refuses_a_fraction_that_no_tape_has() -> None:
    with pytest.raises(ValueError, match="1/10"):
        Length.of(1, "m").feet_inches(10)


@given(st.integers(0, 64 * 12 * 2000))
def test_sixty_fourths_read_back(marks: int) -> None:
    length = Length.of(Fraction(marks, 64), "in")

    assert Length.parse(length.feet_inches(64)) == length


@given(st.integers(0, 16 * 12 * 2000))
def test_sixteenths_read_back(marks: int) -> None:
    length = Length.of(Fraction(marks, 16), "in")

    assert Length.parse(length.feet_inches()) == length
    assert length.mm == Decimal("1.5875") * marks


@given(st.decimals(0, 10_000_000, places=4))
def test_every_length_reads_back_from_its_exact_text(mm: Decimal) -> None:
    assert Length.parse(str(Length(mm))) == Length(mm)


@given(st.integers(0, 10_000_000))
def test_whole_millimetres_read_back_from_metres(mm: int) -> None:
    length = Length.of(mm)

    assert Length.parse(length_text(length, "metric")) == length


@given(st.decimals(0, 10_000_000, places=4))
def test_writing_is_never_off_by_more_than_half_a_mark(mm: Decimal) -> None:
    length = Length(mm)

    written = Length.parse(length.feet_inches(8))

    assert abs(written.mm - mm) <= Decimal("3.175") / 2


@pytest.mark.parametrize(("system", "text"), [("imperial", "24' 6 1/2\""), ("metric", "7.480 m")])
def test_writes_in_the_readers_units(system: System, text: str) -> None:
    assert length_text(Length.parse("24' 6 1/2\""), system) == text


def test_counts() -> None:
    wall, door = Length.parse("24' 6\""), Length.parse("3'")

    assert wall + door == Length.parse("27' 6\"")
    assert wall - door == Length.parse("21' 6\"")
    assert wall * 2 == 2 * wall == Length.parse("49'")
    assert wall / 2 == Length.parse("12' 3\"")
    assert total([wall, door, door]) == Length.parse("30' 6\"")
    assert total([]) == Length.of(0)
    assert door < wall
    assert sorted([wall, door]) == [door, wall]
    assert not Length.of(0)
    assert len({door, Length.of(36, "in"), Length(Decimal("914.4"))}) == 1


def test_a_difference_below_zero_is_refused() -> None:
    with pytest.raises(ValueError, match="zero or more"):
        Length.of(1, "ft") - Length.of(13, "in")


@pytest.mark.parametrize("mm", ["-1", "NaN", "Infinity"])
def test_refuses_what_is_no_length(mm: str) -> None:
    with pytest.raises(ValueError, match="zero or more"):
        Length(Decimal(mm))


def test_keeps_four_places_half_up() -> None:
    assert Length(Decimal("0.00005")).mm == Decimal("0.0001")
    assert Length(Decimal("-0.00000")).mm.is_signed() is False
    assert Length.of(1, "ft").mm == Decimal("304.8")
    assert Length.of(Fraction(1, 16), "in").mm == Decimal("1.5875")
    assert Length.of(Fraction(1, 64), "in").mm == Decimal("0.3969")


def test_metres_and_feet_are_exact() -> None:
    assert Length.parse("7'-4 3/4\"").metres() == Decimal("2.25425")
    assert round(Length.parse("7'-4 3/4\"").feet(), 6) == Decimal("7.395833")


def test_a_length_is_a_value() -> None:
    length = Length.of(5, "ft")

    assert pickle.loads(pickle.dumps(length)) == length  # noqa: S301
    with pytest.raises(AttributeError):
        length.mm = Decimal(1)  # type: ignore[misc]
