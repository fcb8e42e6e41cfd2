"""Every naughty text leaves as text, in CSV and in XLSX."""

import csv
import io
import json
from decimal import Decimal

import pytest
from django.http import HttpResponseBase
from openpyxl import load_workbook

from shared.cells import harmless
from shared.exports import as_csv, as_xlsx
from tests.published import shared_data

pytestmark = pytest.mark.django_db  # a closed answer tells the database that the request is over


@pytest.mark.parametrize(
    "start", ["=", "+", "-", "@", "\t=", "\r", "\n", "\x00=", "＝", " =", "\ufeff="]
)
def test_a_formula_gets_a_quote_before_it(start: str) -> None:
    assert harmless(f"{start}1+1").startswith("'")


@pytest.mark.parametrize("text", ["", "Juniper Bend", "12 - 14", "a=b", "O'Neil", "+"[:0] + "é"])
def test_plain_text_stays_as_it_is(text: str) -> None:
    assert harmless(text) == text


def test_numbers_stay_numbers() -> None:
    response = as_csv("x", ["n"], [[Decimal("-3.50")]])

    assert content(response) == "\ufeffn\r\n-3.50\r\n".encode()


def test_a_heading_is_as_harmless_as_a_cell() -> None:
    response = as_csv("x", ["=1+1"], [])

    assert content(response) == "\ufeff'=1+1\r\n".encode()


def content(response: HttpResponseBase) -> bytes:
    """The whole of a streamed answer, which is closed after it."""
    try:
        return b"".join(response.streaming_content)  # type: ignore[attr-defined]
    finally:
        response.close()


def test_the_big_list_of_naughty_strings_survives_both_formats() -> None:
    naughty = json.loads(shared_data("strings", "blns.json").read_text())
    rows = [[text] for text in naughty]

    text = content(as_csv("x", ["s"], rows)).decode("utf-8-sig")
    read = [row[0] if row else "" for row in csv.reader(io.StringIO(text, newline=""))][1:]
    file = io.BytesIO(content(as_xlsx("x", ["s"], rows)))
    cells = [row[0] for row in load_workbook(file).worksheets[0].iter_rows(min_row=2)]

    assert read == [harmless(each) for each in naughty]
    assert len(cells) == len(naughty)
    assert {cell.data_type for cell in cells} <= {"s", "n", "inlineStr"}
    assert not any(cell.data_type == "f" for cell in cells)
    assert not [each for each in read if each[:1] in set("=+-@\t\r\n")]
