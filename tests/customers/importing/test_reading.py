"""Files of every dialect give the same table; what is no table is refused in words."""

import io
import zipfile
from datetime import date, datetime
from pathlib import Path

import pytest
from openpyxl import Workbook

from customers.importing import NotATable, read_table, workbooks
from customers.importing.surveying import survey_table
from customers.importing.textfiles import LONGEST_CELL

TEXT = 'Name,Street\r\n"Ñandú, Zoë","14 Juniper\r\nBend"\r\nBo,15\r\n'
ROWS = [["Ñandú, Zoë", "14 Juniper\r\nBend"], ["Bo", "15"]]


def written(path: Path, data: bytes | str, encoding: str = "utf-8") -> Path:
    path.write_bytes(data if isinstance(data, bytes) else data.encode(encoding))
    return path


def rows_of(path: Path) -> list[list[str]]:
    return [row.cells for row in read_table(path).rows]


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "utf-32"]
)
def test_reads_every_encoding(tmp_path: Path, encoding: str) -> None:
    table = read_table(written(tmp_path / "t", TEXT, encoding))

    assert table.headings == ["Name", "Street"]
    assert [row.cells for row in table.rows] == ROWS


@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_reads_every_separator_and_line_end(tmp_path: Path, sign: str, end: str) -> None:
    lines = ["name,street", '"a; b",c', "d,e"]
    text = end.join(line.replace(",", sign) for line in lines)

    assert rows_of(written(tmp_path / "t", text)) == [["a; b", "c"], ["d", "e"]]


def test_a_lone_carriage_return_stays_within_its_cell(tmp_path: Path) -> None:
    path = written(tmp_path / "t", 'a,b\n1,two\rlines\n2,"three\r\rlines"\n')

    assert rows_of(path) == [["1", "two\rlines"], ["2", "three\r\rlines"]]


def test_counts_rows_as_a_spreadsheet_does(tmp_path: Path) -> None:
    path = written(tmp_path / "t", 'a,b\n"1\n1",2\n\n,\n3,4\n')

    assert [row.number for row in read_table(path).rows] == [2, 5]


def test_passes_over_titles(tmp_path: Path) -> None:
    path = written(tmp_path / "t", "All our homes,,\n\nname,street,city\nAna,14,Flat\n")
    table = read_table(path)

    assert table.headings == ["name", "street", "city"]
    assert [(row.number, row.cells) for row in table.rows] == [(4, ["Ana", "14", "Flat"])]


def test_names_every_column(tmp_path: Path) -> None:
    table = read_table(written(tmp_path / "t", "phone,,phone,phone (2),\n1,2,3,4,\n"))

    assert len(set(table.headings)) == 4
    assert table.headings[:2] == ["phone", "Column 2"]


def test_says_what_is_wrong_with_a_row_and_keeps_it(tmp_path: Path) -> None:
    rows = list(read_table(written(tmp_path / "t", 'a,b\n1\n1,2,3\n1,2,,\n1,"2\n')).rows)

    assert rows[0].cells == ["1", ""]
    assert rows[1].cells == ["1", "2", "3"]
    assert "3 cells" in rows[1].problem
    assert rows[2].problem == ""
    assert "never closed" in rows[3].problem


def test_a_workbook_is_read_as_its_csv(tmp_path: Path) -> None:
    book = Workbook()
    book.create_sheet("hidden", 0).append(["no", "no"])
    book["hidden"].sheet_state = "hidden"
    sheet = book["Sheet"]
    at = datetime.fromisoformat("2024-03-09T08:05")
    sheet.append(["name", "day", "price", "phone", "at", "ok"])
    sheet.append(["Ñandú", date(2024, 3, 9), 35000.0, 6025550123, at, True])
    sheet.append([None, None, 12.5, None, None, None])
    book.save(tmp_path / "t")

    assert rows_of(tmp_path / "t") == [
        ["Ñandú", "2024-03-09", "35000", "6025550123", "2024-03-09 08:05:00", "yes"],
        ["", "", "12.5", "", "", ""],
    ]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"\n\n,,\n", "empty"),
        (b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 20, "neither text nor a workbook"),
        (b"%PDF-1.7\n" + bytes(range(256)) * 20, "neither text nor a workbook"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "old kind"),
        (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "EncryptedPackage".encode("utf-16-le"),
            "locked with a password",
        ),
        (b"PK\x03\x04 broken", "damaged"),
        (b'a,b\n1,"' + b"x" * (LONGEST_CELL + 9) + b'"\n', "never closed"),
        (("a," * 600).encode() + b"\n1\n", "500 columns"),
    ],
)
def test_refuses_what_is_no_table(tmp_path: Path, data: bytes, words: str) -> None:
    with pytest.raises(NotATable, match=words):
        list(read_table(written(tmp_path / "t", data)).rows)


def test_refuses_headings_without_rows(tmp_path: Path) -> None:
    with pytest.raises(NotATable, match="no rows"):
        survey_table(written(tmp_path / "t", "name,street\n"))


def packed(**parts: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in parts.items():
            package.writestr(name.replace("__", "/"), data)
    return out.getvalue()


def test_refuses_a_bomb_by_its_declared_size(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(workbooks, "MOST_UNPACKED", 1_000_000)
    bomb = packed(**{"xl__workbook.xml": b"<x/>", "xl__worksheets__sheet1.xml": b"0" * 2_000_000})

    with pytest.raises(NotATable, match="unpack to far more"):
        read_table(written(tmp_path / "t", bomb))


def test_refuses_other_packages_and_damaged_workbooks(tmp_path: Path) -> None:
    with pytest.raises(NotATable, match=r"no \.xlsx workbook"):
        read_table(written(tmp_path / "t", packed(mimetype=b"application/vnd.oasis")))
    with pytest.raises(NotATable, match="damaged"):
        read_table(written(tmp_path / "t", packed(**{"xl__workbook.xml": b"<x/>"})))
