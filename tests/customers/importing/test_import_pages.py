"""The pages: a table sent, matched, looked at, brought in, its refused rows taken back."""

import csv
import io
from datetime import timedelta
from pathlib import Path
from unittest.mock import patch

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils.timezone import now
from kombu.exceptions import OperationalError
from openpyxl import load_workbook
from pytest_django import Settings

from customers import tasks
from customers.actions import importing
from customers.models import Home, ImportRun

HEADINGS = "Name,Phone,Address,Town,Fitted"
GOOD = "Ana Ortega,602-555-0123,14 Juniper Bend,Mesquite Flat,2024-03-09"
BAD = "\"=cmd|' /C calc'!A0\",nobody,,Mesquite Flat,2024-03-09"


def table(*rows: str, name: str = "homes.csv") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, "\n".join([HEADINGS, *rows]).encode())


def send(office: Client, *rows: str) -> ImportRun:
    answer = office.post(reverse("imports"), {"file": table(*rows)})
    assert answer.status_code == 302, answer.content.decode()
    return ImportRun.objects.order_by("-pk")[0]


def match(office: Client, run: ImportRun, **changes: str) -> None:
    """Send the guessed columns as the page shows them."""
    page = office.get(reverse("import-columns", args=[run.pk]))
    form = page.context["form"]
    given = {field.html_name: field.value() or "" for field in form}
    answer = office.post(reverse("import-columns", args=[run.pk]), {**given, **changes})
    assert answer.status_code == 302, answer.content.decode()


def test_brings_in_a_table_where_no_worker_can_be_asked(office: Client) -> None:
    run = send(office, GOOD, BAD)
    match(office, run)
    preview = office.get(reverse("import-preview", args=[run.pk])).content.decode()
    with patch.object(tasks.bring_in, "apply_async", side_effect=OperationalError):
        office.post(reverse("import-start", args=[run.pk]))
    page = office.get(run.get_absolute_url()).content.decode()

    assert "Ana Ortega" in preview
    assert "Fitted 9 March 2024" in preview
    assert "the address is missing" in preview
    assert "is no telephone number" in preview
    assert "Done" in page
    assert Home.objects.get().household().name == "Ana Ortega"  # type: ignore[union-attr]


def test_asks_a_worker_and_can_be_left(office: Client) -> None:
    run = send(office, GOOD)
    match(office, run)
    with patch.object(tasks.bring_in, "apply_async") as asked:
        office.post(reverse("import-start", args=[run.pk]))
    running = office.get(run.get_absolute_url()).content.decode()
    assert not Home.objects.exists()

    tasks.bring_in(pk=run.pk)
    tasks.bring_in(pk=run.pk)  # delivered twice
    part = office.get(run.get_absolute_url(), headers={"HX-Request": "true"}).content.decode()

    asked.assert_called_once_with(kwargs={"pk": run.pk}, retry=False)
    assert "row 0 of 1" in running
    assert "every 2s" in running
    assert "<html" not in part
    assert "every 2s" not in part
    run.refresh_from_db()
    assert (run.state, run.rows_new, run.rows_read) == ("done", 1, 1)


def test_refused_rows_come_back_harmless_in_both_formats(office: Client) -> None:
    run = send(office, BAD)
    importing.start(run=run, at=now())
    importing.advance(run=run, at=now())

    got = office.get(reverse("import-refused", args=[run.pk, "csv"]))
    text = b"".join(got.streaming_content).decode("utf-8-sig")  # type: ignore[attr-defined]
    headings, row = csv.reader(io.StringIO(text))
    got = office.get(reverse("import-refused", args=[run.pk, "xlsx"]))
    sheet = load_workbook(io.BytesIO(b"".join(got.streaming_content))).active  # type: ignore[attr-defined]

    assert headings == [*importing.OURS, *HEADINGS.split(",")]
    assert row[2] == "'=cmd|' /C calc'!A0"
    assert "the address is missing" in row[0]
    assert sheet is not None
    assert [cell.value or "" for cell in sheet[2]] == row
    assert "f" not in {cell.data_type for cell in sheet[2]}
    assert office.get(reverse("import-refused", args=[run.pk, "exe"])).status_code == 404


def test_remembers_how_such_a_table_was_matched(office: Client) -> None:
    run = send(office, GOOD)
    match(office, run, column_4="", city="Elsewhere")
    importing.start(run=run, at=now())

    again = send(office, GOOD)

    run.refresh_from_db()
    assert again.columns == run.columns
    assert "installed_on" not in again.columns["columns"]


def test_asks_what_comes_first_where_days_are_unclear(office: Client) -> None:
    run = send(office, GOOD.replace("2024-03-09", "3/9/2024"))
    address = reverse("import-columns", args=[run.pk])
    form = office.get(address).context["form"]
    given = {field.html_name: field.value() or "" for field in form}

    refused = office.post(address, given)
    office.post(address, {**given, "day_first": "yes"})
    run.refresh_from_db()

    assert refused.status_code == 422
    assert "could be read in two ways" in refused.content.decode()
    row = importing.preview(run=run, at=now()).rows[0].record
    assert row is not None
    assert str(row.installed_on) == "2024-09-03"


def test_needs_the_column_of_the_address(office: Client) -> None:
    run = send(office, GOOD)

    answer = office.post(reverse("import-columns", args=[run.pk]), {"column_0": "name"})

    assert answer.status_code == 422
    assert "which column holds the address" in answer.content.decode()


def test_refuses_what_is_no_table_and_what_is_too_large(office: Client, settings: Settings) -> None:
    nothing = office.post(reverse("imports"), {"file": SimpleUploadedFile("t.csv", b" ")})
    settings.IMPORT_MAX_BYTES = 10
    large = office.post(reverse("imports"), {"file": table(GOOD)})

    assert nothing.status_code == large.status_code == 422
    assert "empty" in nothing.content.decode()
    assert "over 0 MB" in large.content.decode()
    assert not ImportRun.objects.exists()


def test_naughty_headings_and_cells_are_shown_as_text(office: Client) -> None:
    naughty = "<script>alert(1)</script>"
    file = SimpleUploadedFile("<b>.csv", f"Address,{naughty}\n14 Juniper,{naughty}\n".encode())
    office.post(reverse("imports"), {"file": file})
    run = ImportRun.objects.get()

    page = office.get(reverse("import-columns", args=[run.pk])).content.decode()

    assert naughty not in page
    assert page.count("&lt;script&gt;") == 2


def test_goes_on_where_a_worker_died(office: Client) -> None:
    run = send(office, GOOD)
    importing.start(run=run, at=now() - timedelta(hours=1))

    page = office.get(run.get_absolute_url()).content.decode()
    office.post(reverse("import-start", args=[run.pk]))

    assert "Go on from row 1" in page
    run.refresh_from_db()
    assert run.state == "done"


def test_is_not_started_twice_nor_changed_nor_forgotten_while_it_runs(office: Client) -> None:
    run = send(office, GOOD)
    importing.start(run=run, at=now())

    office.post(reverse("import-start", args=[run.pk]))
    office.post(reverse("import-forget", args=[run.pk]))

    assert not Home.objects.exists()
    assert ImportRun.objects.filter(pk=run.pk).exists()
    for name in ("import-columns", "import-preview"):
        assert office.get(reverse(name, args=[run.pk])).status_code == 302


def test_forgets_a_table_and_keeps_its_homes(office: Client) -> None:
    run = send(office, GOOD, BAD)
    importing.start(run=run, at=now())
    importing.advance(run=run, at=now())
    path = run.file.path

    office.post(reverse("import-forget", args=[run.pk]))

    with pytest.raises(FileNotFoundError):
        Path(path).read_bytes()
    assert not ImportRun.objects.exists()
    assert Home.objects.count() == 1


def test_the_list_holds_its_queries(
    office: Client, django_assert_num_queries: pytest.FixtureRequest
) -> None:
    for _ in range(3):
        send(office, GOOD)

    with django_assert_num_queries(5):  # type: ignore[operator]  # session, user, permissions, count, runs
        office.get(reverse("imports"))
