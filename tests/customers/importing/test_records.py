"""A row as a record, or every reason why not."""

from datetime import date
from decimal import Decimal

from customers.importing import Record, Row, RowReader, Rules
from customers.importing.people import same_people

TODAY = date(2026, 3, 2)
GOOD = {"street": "14 Juniper Bend", "city": "Mesquite Flat"}


def read(cells: dict[str, str], **rules: object) -> Record | list[str]:
    """Read one row whose headings are the fields' codes."""
    columns = {code: [code] for code in cells}
    made = Rules(columns=columns, region="US", today=TODAY, **rules)  # type: ignore[arg-type]
    return RowReader(list(cells), made).read(Row(2, list(cells.values())))


def record(cells: dict[str, str], **rules: object) -> Record:
    found = read({**GOOD, **cells}, **rules)
    assert isinstance(found, Record), found
    return found


def reasons(cells: dict[str, str], **rules: object) -> list[str]:
    found = read(cells, **rules)
    assert isinstance(found, list), found
    return found


def test_reads_all_that_a_row_says() -> None:
    found = record(
        {
            "name": "Ñandú, Zoë",
            "phone": "602-555-0123 x4 / 602-555-0124",
            "second_phone": "602-555-0125",
            "mail": "z@example.com, w@example.com",
            "language": "Spanish",
            "mail_consent": "yes",
            "note": "Dog.\nGate 12.",
            "installed_on": "March 9, 2024",
            "price": "$3,930",
            "promise_text": "lifetime",
            "promise_lasts": "home",
        }
    )

    assert (found.name, found.language, found.mail_consent) == ("Zoë Ñandú", "es", True)
    assert (found.phone, found.second_phone) == ("+16025550123", "+16025550124")
    assert found.mail == "z@example.com"
    assert found.note.splitlines() == [
        "Dog.",
        "Gate 12.",
        "Extension 4 at +16025550123",
        "Also: +16025550125",
        "Also: w@example.com",
    ]
    assert (found.installed_on, found.price) == (date(2024, 3, 9), Decimal(3930))
    assert (found.promised, found.promise_text, found.promise_basis) == (True, "lifetime", "home")


def test_says_all_reasons_at_once() -> None:
    found = reasons(
        {
            "street": "",
            "city": "",
            "phone": "x",
            "mail": "x",
            "installed_on": "x",
            "price": "x",
            "country": "Nowhere",
            "name": "n" * 201,
        }
    )

    assert len(found) == 8
    assert all(":" in reason for reason in found)


def test_one_home_has_one_key_however_it_is_written() -> None:
    one = record({"street": "14 North Juniper Street", "unit": "Apt. 4", "region": "Arizona"})
    other = record({"street": "14 N JUNIPER ST #4", "city": "MESQUITE FLAT", "region": "az"})

    assert one.key == other.key
    assert one.key != record({"street": "15 N Juniper St", "unit": "4", "region": "AZ"}).key


def test_joins_columns_and_prefers_the_parts_to_the_whole() -> None:
    found = record(
        {
            "house_number": "14",
            "street": "Juniper Bend",
            "address": "9 Other Rd, Elsewhere, NV 89000",
            "given_name": "Ana",
            "family_name": "Ortega",
        }
    )

    assert (found.street, found.city, found.region) == ("14 Juniper Bend", "Mesquite Flat", "NV")
    assert found.name == "Ana Ortega"


def test_what_holds_always_fills_in_only_what_is_missing() -> None:
    always = {"city": "Elsewhere", "region": "NV", "area_code": "602"}
    found = record({"address": "x", "region": "AZ", "phone": "555-0123"}, always=always)

    assert (found.city, found.region, found.phone) == ("Mesquite Flat", "AZ", "+16025550123")
    assert reasons({"street": "14 Juniper", "city": ""}) == ["City or town: the town is missing."]
    missing = read({"street": "14 Juniper", "city": "n/a"}, always=always)
    assert isinstance(missing, Record)
    assert missing.city == "Elsewhere"


def test_a_home_alone_has_no_household() -> None:
    assert not record({"name": "-", "phone": "n/a"}).has_household
    assert record({"phone": "602-555-0123"}).has_household


def test_the_column_says_what_comes_first() -> None:
    ordered = record({"installed_on": "3/9/2024"}, orders={"installed_on": "day"})
    told = record({"installed_on": "3/9/2024"}, day_first=False)

    assert ordered.installed_on == date(2024, 9, 3)
    assert told.installed_on == date(2024, 3, 9)
    assert "could be" in reasons({**GOOD, "installed_on": "3/9/2024"})[0]


def test_refuses_a_fitting_to_come_a_price_without_day_and_a_promise_without_basis() -> None:
    assert "is to come" in reasons({**GOOD, "installed_on": "2026-03-03"})[0]
    assert "needs the day of fitting" in reasons({**GOOD, "price": "12"})[0]
    found = reasons({**GOOD, "promise_text": "yes"})
    assert "whose life" in found[0]
    assert "the day on which it was given" in found[1]
    assert not record({"promise_text": "none"}).promised


def test_a_house_number_column_must_have_one() -> None:
    found = reasons({"house_number": "", "street": "Juniper Bend", "city": "Flat"})

    assert found == ["House number: without it the home is not recognised."]


def test_a_book_in_a_cell_is_refused_before_it_is_searched() -> None:
    """Looking for a mail in 100,000 signs would take minutes."""
    book = "a" * 100_000
    found = reasons({**GOOD, "mail": book, "address": book, "phone": book})

    assert len(found) == 3
    assert all("longer than 1000" in reason for reason in found)


def test_same_people() -> None:
    assert same_people("Ortega", "Ana Ortega")
    assert same_people("Ana & Luis Ortega", "ORTEGA, ANA")
    assert same_people("Zoë Ñandú", "Zoe Nandu")
    assert not same_people("Ana Ortega", "Eva Ortega")
    assert not same_people("Bo Li", "Cy")
