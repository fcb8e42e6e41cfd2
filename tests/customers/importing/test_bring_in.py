"""What a table does to homes that we know, and what a killed import leaves behind."""

import io
import json
import tracemalloc
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
from django.core.files.base import ContentFile
from django.db import IntegrityError
from pytest_django import DjangoAssertNumQueries

from customers import finding
from customers.actions import importing
from customers.actions.importing import running
from customers.actions.importing.writing import Counts, write_chunk
from customers.models import Consent, FindWord, Home, Household, ImportRun, Ownership
from jobs.models import Job, Offer, PriceBook
from tests.factories import NOON, make_home, make_household, make_job, make_promise, make_user
from warranties.models import Promise, PromiseChange, Terms

HEADINGS = (
    "Name,Phone,Mail,Street,City,State,Fitted,Price,Warranty,Warranty #,Lasts,Mail consent,Notes"
)
pytestmark = pytest.mark.django_db


def bring_in(*rows: str, headings: str = HEADINGS) -> ImportRun:
    run = loaded(*rows, headings=headings)
    importing.start(run=run, at=NOON)
    importing.advance(run=run, at=NOON)
    run.refresh_from_db()
    return run


def loaded(*rows: str, headings: str = HEADINGS) -> ImportRun:
    text = "\n".join([headings, *rows])
    run = importing.load_table(file=ContentFile(text.encode()), name="homes.csv", by=make_user())
    columns = {**run.columns, "always": {"city": "Mesquite Flat", "region": "AZ"}}
    columns["columns"].setdefault("promise_lasts", ["Lasts"] if "Lasts" in headings else [])
    importing.match_columns(run=run, columns=columns)
    return run


def row(**cells: str) -> str:
    names = HEADINGS.lower().replace(" ", "_").replace("_#", "_number").split(",")
    assert set(cells) <= set(names)
    return ",".join(cells.get(name, "") for name in names)


def reasons(run: ImportRun) -> list[str]:
    return [reason for refused in run.refused.all() for reason in refused.reasons]


def test_a_new_home_has_its_household_since_the_fitting_and_is_found() -> None:
    bring_in(
        row(name="Ana Ortega", phone="602-555-0123", street="14 Juniper Bend", fitted="2024-03-09")
    )

    home = Home.objects.get()
    assert Ownership.objects.get(home=home).since == date(2024, 3, 9)
    job = Job.objects.get()
    for asked in ("ortega", "555-0123", "juniper", job.number):
        assert list(finding.homes_found(asked)) == [home]
    assert home.history.get().history_user.username == "office"
    assert Household.history.count() == Ownership.history.count() == Job.history.count() == 1


def test_fills_only_blanks_of_a_home_that_we_know() -> None:
    household = make_household(name="Ana Ortega", mail="", note="Dog.")
    home = make_home(household=household, street="14 Juniper Bend", neighbourhood="")

    run = bring_in(
        row(
            name="ORTEGA",
            phone="602-555-0199",
            mail="ana@example.com",
            street="14 juniper bnd.",
            notes="Gate 12.",
        ),
        row(
            name="Ana Ortega", phone="602-555-0198", mail="b@example.com", street="14 Juniper Bend"
        ),
    )

    assert (run.rows_new, run.rows_known, run.rows_refused) == (0, 2, 0)
    household.refresh_from_db()
    home.refresh_from_db()
    assert (household.name, household.mail) == ("Ana Ortega", "ana@example.com")
    assert str(household.phone) == "+16025550123"
    assert str(household.second_phone) == "+16025550199"
    assert household.note.splitlines() == [
        "Dog.",
        "Gate 12.",
        "Also: +16025550198",
        "Also: b@example.com",
    ]
    assert home.street == "14 Juniper Bend"
    assert list(finding.homes_found("555-0199")) == [home]


def test_the_same_table_twice_changes_nothing() -> None:
    rows = [
        row(name="Ana", street=f"{number} Juniper Bend", fitted="2024-03-09", price="900",
            warranty="yes", lasts="home", notes=f"Gate {number}.", mail_consent="yes")
        for number in range(1, 8)
    ]  # fmt: skip
    first = bring_in(*rows, row(street="1 Juniper Bend", fitted="2025-03-09"))
    before = snapshot()

    again = bring_in(*rows, row(street="1 Juniper Bend", fitted="2025-03-09"))

    assert (first.rows_new, first.rows_known) == (7, 1)
    assert (again.rows_new, again.rows_known, again.rows_refused) == (0, 8, 0)
    assert snapshot() == before
    assert Job.objects.count() == 8


def snapshot() -> list[Any]:
    kept = (Home, Household, Ownership, Consent, Job, Offer, Promise, PromiseChange, FindWord)
    changes = (Home.history, Household.history, Job.history)
    return [list(model.objects.order_by("pk").values()) for model in kept] + [
        each.count() for each in changes
    ]


def test_another_name_at_a_known_home_asks_a_person() -> None:
    make_home(household=make_household(name="Ana Ortega"), street="14 Juniper Bend")

    run = bring_in(
        row(name="Bo Li", street="14 Juniper Bend"),
        row(name="Cy", street="15 Juniper Bend"),
        row(name="Dana", street="15 Juniper Bend"),
    )

    assert (run.rows_new, run.rows_refused) == (1, 2)
    assert "as the home of Ana Ortega; this row says Bo Li" in reasons(run)[0]
    assert "as the home of Cy; this row says Dana" in reasons(run)[1]


def test_a_household_without_a_name_gets_it_from_a_later_table() -> None:
    bring_in(row(phone="602-555-0123", street="14 Juniper Bend"))
    assert Household.objects.get().name == "Household at 14 Juniper Bend"

    bring_in(row(name="Ana Ortega", street="14 Juniper Bend"))

    assert Household.objects.get().name == "Ana Ortega"


def test_a_home_alone_comes_in_alone_and_takes_a_household_later() -> None:
    bring_in(row(street="14 Juniper Bend"))
    assert not Household.objects.exists()

    bring_in(row(name="Ana Ortega", street="14 Juniper Bend"))

    home = Home.objects.get()
    assert str(home.household()) == "Ana Ortega"


def test_consent_is_noted_only_where_it_is_said_and_nothing_is_known() -> None:
    said_no = make_household(name="Ana Ortega")
    said_no.consents.update(given=False)
    make_home(household=said_no, street="14 Juniper Bend")

    bring_in(
        row(name="Ana Ortega", street="14 Juniper Bend", mail_consent="yes"),
        row(name="Bo Li", street="15 Juniper Bend", mail_consent="yes"),
        row(name="Cy", street="16 Juniper Bend", mail="cy@example.com"),
    )

    assert dict(Consent.objects.values_list("household__name", "given")) == {
        "Ana Ortega": False,
        "Bo Li": True,
    }


def test_a_job_brings_its_price_by_an_agreed_offer() -> None:
    bring_in(
        row(name="Ana", street="14 Juniper Bend", fitted="2024-03-09"),
        row(name="Ana", street="14 Juniper Bend", fitted="2024-03-09", price="3930.00"),
        row(name="Ana", street="14 Juniper Bend", fitted="2023-03-09", price="100"),
    )

    jobs = Job.objects.order_by("fitted_on")
    assert [(job.number, job.revenue, job.source) for job in jobs] == [
        ("2023-0001", 100, "import"),
        ("2024-0001", 3930, "import"),
    ]
    assert Offer.objects.filter(state="agreed").count() == 2
    assert PriceBook.objects.get().prices.count() == 0


def test_a_job_of_our_own_keeps_its_price() -> None:
    home = make_home(household=make_household(name="Ana"), street="14 Juniper Bend")
    job = make_job(home=home, stage="handed-over", fitted_on=date(2024, 3, 9))

    bring_in(row(name="Ana", street="14 Juniper Bend", fitted="2024-03-09", price="1"))

    assert Job.objects.get() == job
    assert not Offer.objects.exists()


def test_a_promise_keeps_its_number_and_words_under_terms_that_nobody_gets_again() -> None:
    words = "Lifetime on strips; " * 40
    bring_in(
        row(name="Ana", street="14 Juniper Bend", fitted="2024-03-09", warranty=words,
            warranty_number="W-12", lasts="home"),
        row(name="Bo", street="15 Juniper Bend", fitted="2024-03-09", warranty="yes",
            lasts="owner"),
        row(name="Cy", street="16 Juniper Bend", fitted="2024-03-09", warranty="no"),
    )  # fmt: skip

    ana, bo = Promise.objects.order_by("home__street")
    assert (ana.number, ana.basis, ana.state) == ("W-12", "home", "in-force")
    assert bo.number.startswith("RK-2026-")
    assert bo.basis == "ownership"
    said = "".join(ana.changes.order_by("pk").values_list("reason", flat=True))
    assert words.strip() in said
    assert ana.terms.version == 0
    newest = Terms.objects.newest("en")
    assert newest is not None
    assert newest.version > 0


def test_a_promise_number_of_another_home_is_refused() -> None:
    promise = make_promise()

    run = bring_in(
        row(
            street="14 Juniper Bend",
            fitted="2024-03-09",
            warranty_number=promise.number,
            lasts="home",
        ),
        row(street="15 Juniper Bend", fitted="2024-03-09", warranty_number="W-1", lasts="home"),
        row(street="16 Juniper Bend", fitted="2024-03-09", warranty_number="W-1", lasts="home"),
        row(street="15 Juniper Bend", fitted="2024-03-09", warranty_number="W-2", lasts="home"),
    )

    assert [reason.partition(": ")[2] for reason in reasons(run)] == [
        f"{promise.number} belongs to another home.",
        "W-1 belongs to another home.",
        "the home has W-1 already.",
    ]


def test_a_promise_that_is_over_is_brought_in_as_ended() -> None:
    headings = "Street,City,Warranty from,Warranty until,Warranty basis"
    bring_in(
        "14 Juniper Bend,Flat,2015-03-09,2020-03-09,home",
        "15 Juniper Bend,Flat,2024-03-09,2029-03-09,home",
        headings=headings,
    )

    ended, standing = Promise.objects.order_by("home__street")
    assert (ended.state, ended.ended_on) == ("ended", date(2020, 3, 9))
    assert standing.state == "in-force"
    assert "until 2029-03-09" in standing.changes.get().reason


class Killed(BaseException):
    """As a worker dies: nothing catches it."""


def test_a_killed_import_leaves_whole_chunks_and_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(running, "CHUNK", 10)
    rows = [row(name="Ana", street=f"{n} Juniper Bend", fitted="2024-03-09") for n in range(1, 36)]
    run = loaded(*rows, row(name="No address"))
    importing.start(run=run, at=NOON)
    chunks = iter(range(9))

    def dies_in_the_third(**given: Any) -> Any:
        counts = write_chunk(**given)
        if next(chunks) == 2:
            raise Killed
        return counts

    with patch.object(running, "write_chunk", dies_in_the_third), pytest.raises(Killed):
        importing.advance(run=run, at=NOON)
    run.refresh_from_db()
    assert (run.rows_read, run.state) == (20, "running")
    assert Home.objects.count() == Job.objects.count() == 20

    assert importing.advance(run=run, at=NOON)
    run.refresh_from_db()
    assert (run.rows_read, run.rows_new, run.rows_refused, run.state) == (36, 35, 1, "done")
    assert Home.objects.count() == Job.objects.count() == 35
    assert len(set(Job.objects.values_list("number", flat=True))) == 35


def test_two_at_once_write_no_chunk_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(running, "CHUNK", 10)
    run = loaded(*(row(street=f"{n} Juniper Bend") for n in range(1, 36)))
    importing.start(run=run, at=NOON)
    other = ImportRun.objects.get(pk=run.pk)

    assert not importing.advance(run=other, at=NOON, seconds=0)  # one chunk
    # The first worker still believes that nothing is read.
    with patch.object(ImportRun, "refresh_from_db"):
        assert not importing.advance(run=run, at=NOON)

    run.refresh_from_db()
    assert run.rows_read == run.rows_new == Home.objects.count() == 10


def test_a_home_entered_at_the_same_moment_is_known_at_the_second_try() -> None:
    run = loaded(row(street="14 Juniper Bend"))
    importing.start(run=run, at=NOON)
    calls = []

    def second_time(**given: Any) -> Any:
        calls.append(given)
        if len(calls) == 1:
            raise IntegrityError
        return write_chunk(**given)

    with patch.object(running, "write_chunk", second_time):
        assert importing.advance(run=run, at=NOON)

    assert Home.objects.count() == 1


def test_a_fault_of_ours_stops_the_import_and_leaves_whole_chunks() -> None:
    run = loaded(row(street="14 Juniper Bend"))
    importing.start(run=run, at=NOON)

    def fails(**given: Any) -> Any:
        write_chunk(**given)
        raise ZeroDivisionError

    with patch.object(running, "write_chunk", fails):
        assert not importing.advance(run=run, at=NOON)

    run.refresh_from_db()
    assert (run.state, run.rows_read) == ("stopped", 0)
    assert "no fault of the table" in run.error
    assert not Home.objects.exists()


def test_a_file_that_is_gone_stops_the_import_in_words() -> None:
    run = loaded(row(street="14 Juniper Bend"))
    importing.start(run=run, at=NOON)
    Path(run.file.path).unlink()

    assert not importing.advance(run=run, at=NOON)

    run.refresh_from_db()
    assert run.state == "stopped"
    assert run.error


def test_a_chunk_costs_the_same_queries_for_any_number_of_rows(
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    bring_in(row(name="Ana", street="99 Juniper Bend", fitted="2024-03-09", price="9",
                 warranty="yes", lasts="home"))  # fmt: skip
    run = loaded(
        *(
            row(name="Ana", phone="602-555-0123", street=f"{n} Juniper Bend", fitted="2024-03-09",
                price="900", warranty="yes", lasts="home", mail_consent="yes")
            for n in range(1, 60)
        )
    )  # fmt: skip
    importing.start(run=run, at=NOON)

    with django_assert_max_num_queries(70):
        importing.advance(run=run, at=NOON)

    assert Job.objects.count() == 60


def test_memory_stays_bounded_at_any_length(monkeypatch: pytest.MonkeyPatch) -> None:
    """The peak of reading 20,000 rows is that of a few chunks, not of the table."""
    lines = (row(name="Ana", street=f"{n} Juniper Bend", notes="n" * 60) for n in range(20_000))
    run = loaded(*lines)
    importing.start(run=run, at=NOON)

    def only_read(*, rows: list[Any], reader: Any, **_: Any) -> Any:
        for each in rows:
            reader.read(each)
        return Counts()

    monkeypatch.setattr(running, "write_chunk", only_read)
    tracemalloc.start()
    try:
        assert importing.advance(run=run, at=NOON)
        _now, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()

    assert run.file.size > 1_800_000
    assert peak < 3_000_000  # 20,000 rows as lists take over 20 MB


def naughty() -> Iterator[str]:
    yield from ('=HYPERLINK("http://example.com")', "@SUM(1+9)", "+1+1", "-2+3", "\t=1", "＝1")
    yield from (
        "<script>alert(1)</script>",
        "'; DROP TABLE homes; --",
        "\x00\x07\x1b[31m",
        "﷽" * 40,
    )
    yield from (
        "Ω≈ç√∫˜µ",
        "👩‍👩‍👧‍👧",
        "\u202etxet",
        "null",
        "undefined",
        "{{ 7*7 }}",
        "%s%n",
        "../../etc/passwd",
    )


def test_naughty_text_goes_in_as_text() -> None:
    buffer = io.StringIO()
    texts = list(naughty())
    for number, text in enumerate(texts):
        cell = json.dumps(text, ensure_ascii=False)[1:-1].replace('\\"', '""')
        buffer.write(f'"{cell}","{number} Juniper Bend","{cell}"\n')

    run = bring_in(*buffer.getvalue().splitlines(), headings="Name,Street,Notes")

    assert run.rows_new + run.rows_refused == len(texts)
    assert run.rows_new >= len(texts) - 1
    notes = set(Household.objects.values_list("note", flat=True))
    assert "<script>alert(1)</script>" in notes
    assert '=HYPERLINK("http://example.com")' in notes
