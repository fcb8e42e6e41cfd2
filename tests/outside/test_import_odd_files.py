"""Odd CSV files and naughty strings of others, under ../shared/data/strings.

Sources: csv-spectrum (BSD-2-Clause) and csv-test-data (MIT), each CSV with the JSON that it means;
xlrd's samples (BSD); the big list of naughty strings (MIT); formula payloads (csv-injection).
"""

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.test import Client
from django.urls import reverse
from django.utils.timezone import now

from customers.actions import importing
from customers.importing import NotATable, read_table
from customers.models import Household
from tests.published import shared_data

HERE = "strings"
FORMULA_SIGNS = tuple("=+-@\t\r\n＝＋－＠")  # OWASP ASVS 5.0, V1.2.10


DISAGREE = {"location_coordinates.csv"}  # its JSON holds another telephone number than it


def meant(path: Path) -> list[list[str]]:
    """The rows that the JSON beside a CSV says it holds, the headings first."""
    told: Any = json.loads(path.with_suffix(".json").read_text())
    rows: list[Any] = [told] if isinstance(told, dict) else told
    if rows and isinstance(rows[0], dict):
        return [list(rows[0]), *(list(row.values()) for row in rows)]
    return rows


def read(path: Path) -> list[list[str]]:
    table = read_table(path)
    return [table.headings, *(row.cells for row in table.rows)]


def plain(rows: list[list[str]]) -> list[list[str]]:
    """Line ends as one kind (git changed those of the files) and no rows without any text."""
    lines = [[cell.replace("\r\n", "\n") for cell in row] for row in rows]
    return [row for row in lines if any(row)]


def odd_files(folder: str) -> list[str]:
    try:
        files = shared_data(HERE, folder).glob("*.csv")
    except pytest.skip.Exception:
        return []
    named = {file.name for file in files if file.with_suffix(".json").exists()}
    return sorted(named - DISAGREE)


@pytest.mark.parametrize("folder", ["csv_spectrum", "csv_test_data"])
def test_odd_files_are_read_as_they_are_meant(folder: str) -> None:
    shared_data(HERE, folder)
    wrong = []
    for name in odd_files(folder):
        path = shared_data(HERE, folder, name)
        want = plain(meant(path))
        try:
            got = plain(read(path))
        except NotATable:
            got = []
        if got != want and want:
            wrong.append((name, got, want))
    assert wrong == []
    assert len(odd_files(folder)) > 10


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("bad-header-no-header.csv", "empty"),
        ("all-empty.csv", "empty"),
    ],
)
def test_files_without_text_are_refused(name: str, words: str) -> None:
    with pytest.raises(NotATable, match=words):
        read_table(shared_data(HERE, "csv_test_data", name))


def test_bad_rows_are_kept_with_what_is_wrong() -> None:
    more = list(read_table(shared_data(HERE, "csv_test_data", "bad-header-more-fields.csv")).rows)
    quote = list(read_table(shared_data(HERE, "csv_test_data", "bad-missing-quote.csv")).rows)

    assert "4 cells" in more[0].problem
    assert "never closed" in quote[0].problem


def test_old_workbooks_and_other_packages_are_refused_in_words() -> None:
    folder = shared_data(HERE, "xls_samples")
    for path in sorted(folder.glob("*.xls")):
        with pytest.raises(NotATable, match=r"old kind|locked"):
            read_table(path)
    for name in ("xlrd_sample.ods", "xlrd_sample.xlsb", "xlrd_sample.zip"):
        with pytest.raises(NotATable, match=r"no \.xlsx workbook"):
            read_table(folder / name)


def naughty() -> list[str]:
    big: list[str] = json.loads(shared_data(HERE, "blns.json").read_text())
    payloads = shared_data(HERE, "csv_injection_payloadbox.txt").read_text().splitlines()
    return [*big, *payloads]


@pytest.mark.django_db
def test_naughty_text_goes_in_and_every_refused_row_comes_out_harmless(office: Client) -> None:
    texts = naughty()
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["Name", "Notes", "Street", "City"])
    for number, text in enumerate(texts):
        writer.writerow([text, text, f"{number} Juniper Bend", "Mesquite Flat"])  # goes in
        writer.writerow([text, text, "", "Mesquite Flat"])  # comes back
    file = ContentFile(out.getvalue().encode("utf-8", "surrogatepass"))

    run = importing.load_table(file=file, name="naughty.csv", by=None)
    importing.start(run=run, at=now())
    assert importing.advance(run=run, at=now())
    run.refresh_from_db()
    got = office.get(reverse("import-refused", args=[run.pk, "csv"]))
    sent = b"".join(got.streaming_content).decode("utf-8-sig")  # type: ignore[attr-defined]
    rows = list(csv.reader(io.StringIO(sent)))

    assert run.rows_new + run.rows_known + run.rows_refused == run.rows_total
    assert run.rows_new >= len(texts) - 5  # names over 200 characters come back, too
    assert run.rows_refused >= len(texts)
    assert not [cell for row in rows for cell in row if cell.startswith(FORMULA_SIGNS)]
    page = office.get(reverse("import", args=[run.pk])).content.decode()
    assert "<script>alert" not in page
    assert Household.objects.filter(note__contains="<script>alert(123)</script>").exists()
