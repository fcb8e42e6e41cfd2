"""Each kind of cell: what is read, and what is refused with which words."""

from decimal import Decimal

import pytest

from customers.importing import Unreadable, cells


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("3930", "3930.00"),
        ("$3,930.00", "3930.00"),
        ("3.930,00 €", "3930.00"),
        ("1 234,50", "1234.50"),
        ("1'234.50", "1234.50"),
        ("1,234", "1234.00"),
        ("1.234.567", "1234567.00"),
        ("USD 12", "12.00"),
        ("12,5", "12.50"),
        ("0.0", "0.00"),
        ("786247.5", "786247.50"),
        ("1234.565", "1234.57"),
        (".", None),
        ("1.234", None),
        ("1,2,3", None),
        ("(45)", None),
        ("-45", None),
        ("free", None),
        ("99999999999", None),
        ("9" * 96, None),
    ],
)
def test_money(text: str, amount: str | None) -> None:
    if amount is None:
        with pytest.raises(Unreadable):
            cells.parse_money(text)
    else:
        assert cells.parse_money(text) == Decimal(amount)


def test_money_that_could_be_two_says_both() -> None:
    with pytest.raises(Unreadable, match=r"could be 1234 or 1\.23"):
        cells.parse_money("1.234")


@pytest.mark.parametrize(
    ("text", "phones"),
    [
        ("602-555-0123", [("+16025550123", "")]),
        ("7188924968", [("+17188924968", "")]),
        ("(602) 555-0123 x12", [("+16025550123", "12")]),
        ("6025550123 / 602-555-0124", [("+16025550123", ""), ("+16025550124", "")]),
        ("602 555 0123 or 602 555 0124", [("+16025550123", ""), ("+16025550124", "")]),
        ("+52 55 1234 5678", [("+525512345678", "")]),
        ("2262649", [("+13122262649", "")]),
    ],
)
def test_phones(text: str, phones: list[tuple[str, str]]) -> None:
    assert cells.parse_phones(text, region="US", area_code="312") == phones


@pytest.mark.parametrize("text", ["call me", "123", "602-555-01234567890", "310-3165", "+999 1"])
def test_refuses_what_is_no_phone(text: str) -> None:
    with pytest.raises(Unreadable, match="telephone number"):
        cells.parse_phones(text, region="US")


def test_a_local_number_asks_for_its_area_code() -> None:
    with pytest.raises(Unreadable, match="no area code"):
        cells.parse_phones("226-2649", region="US")


def test_mails() -> None:
    assert cells.parse_mails("Ana.O@Example.COM; b@example.com") == [
        "Ana.O@example.com",
        "b@example.com",
    ]
    assert cells.parse_mails("Ana <mailto:ana@example.com>") == ["ana@example.com"]


@pytest.mark.parametrize("text", ["ana", "ana@", "a b@c", "ana@example", "a..b@example.com"])
def test_refuses_what_is_no_mail(text: str) -> None:
    with pytest.raises(Unreadable, match="no mail address"):
        cells.parse_mails(text)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Ortega, Ana", "Ana Ortega"),
        ("Ñandú, Zoë", "Zoë Ñandú"),
        ("  Ana   and Luis\nOrtega ", "Ana and Luis Ortega"),
        ("Juniper Homes, LLC", "Juniper Homes, LLC"),
        ("Ortega, Luis, Jr.", "Ortega, Luis, Jr."),
        ("王小明", "王小明"),
        ("Null", "Null"),
    ],
)
def test_names(text: str, name: str) -> None:
    assert cells.parse_name(text) == name


def test_words_for_yes_no_language_and_country() -> None:
    assert cells.parse_yes("Sí")
    assert not cells.parse_yes("Opt-out")
    assert cells.parse_language("Español") == "es"
    assert cells.parse_country("U.S.A.") == "US"
    assert cells.parse_country("ca") == "CA"
    for parse in (cells.parse_yes, cells.parse_language, cells.parse_country):
        with pytest.raises(Unreadable):
            parse("perhaps")


def test_cleans_signs_that_no_record_may_hold() -> None:
    assert cells.cleaned("a\x00b\r\nc\rd\ufeff") == "ab\nc\nd"


def test_takes_off_the_quote_that_made_a_cell_harmless() -> None:
    assert cells.cleaned("'+1 602 555 0123") == "+1 602 555 0123"
    assert cells.cleaned("'tis") == "'tis"
