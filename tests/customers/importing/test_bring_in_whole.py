"""Imports that are killed, meet each other, fail, are long or naughty."""

import io
import json
import tracemalloc
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
from django.db import IntegrityError
from pytest_django import DjangoAssertNumQueries

from customers.actions import importing
from customers.actions.importing import running
from customers.actions.importing.writing import Counts, write_chunk
from customers.models import Home, Household, ImportRun
from jobs.actions.recounting import drift
from jobs.models import Job
from tests.customers.importing.tables import bring_in, loaded, row
from tests.factories import NOON

pytestmark = pytest.mark.django_db


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

    with django_assert_max_num_queries(90):
        importing.advance(run=run, at=NOON)

    assert Job.objects.count() == 60
    assert drift() == []


@pytest.mark.any_database
def test_memory_stays_bounded_at_any_length(monkeypatch: pytest.MonkeyPatch) -> None:
    """The peak of reading 10,000 rows is that of a few chunks, not of the table."""
    lines = (row(name="Ana", street=f"{n} Juniper Bend", notes="n" * 60) for n in range(10_000))
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

    assert run.file.size > 900_000
    assert peak < 3_000_000  # 10,000 rows as lists take over 10 MB


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
