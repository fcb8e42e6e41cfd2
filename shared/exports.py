"""Tables out, as CSV and XLSX: the same rows as on the screen, harmless in a spreadsheet."""

import csv
from collections.abc import Iterable, Iterator, Sequence
from tempfile import TemporaryFile
from typing import TYPE_CHECKING
from urllib.parse import quote

from django.http import FileResponse, HttpResponseBase, StreamingHttpResponse

from shared.cells import as_cell

if TYPE_CHECKING:
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet

FORMATS = ("csv", "xlsx")
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class _Echo:
    """A file that hands back what is written, so that csv streams."""

    def write(self, line: str) -> str:
        return line


def _attachment(name: str) -> str:
    """RFC 6266: a plain name, and the same in UTF-8."""
    plain = name.encode("ascii", "replace").decode().replace('"', "'").replace("?", "_")
    return f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(name)}"


def csv_lines(headings: Sequence[str], rows: Iterable[Sequence[object]]) -> Iterator[str]:
    """RFC 4180 lines, with a byte-order mark so that spreadsheets read UTF-8."""
    writer = csv.writer(_Echo())
    yield "\ufeff" + writer.writerow([as_cell(heading) for heading in headings])
    for row in rows:
        yield writer.writerow(["" if cell is None else as_cell(cell) for cell in row])


def as_csv(
    name: str, headings: Sequence[str], rows: Iterable[Sequence[object]]
) -> HttpResponseBase:
    response = StreamingHttpResponse(
        csv_lines(headings, rows), content_type="text/csv; charset=utf-8"
    )
    response.headers["Content-Disposition"] = _attachment(f"{name}.csv")
    return response


def _text_cell(sheet: "WriteOnlyWorksheet", value: object) -> object:
    """Text is marked as text: openpyxl would write what begins with = as a formula."""
    from openpyxl.cell import WriteOnlyCell  # noqa: PLC0415  # as late as Workbook

    cell = as_cell(value)
    if not isinstance(cell, str):
        return cell
    written = WriteOnlyCell(sheet, "")
    written.value = cell[:32_767]  # the format's limit
    written.data_type = "s"
    return written


def as_xlsx(
    name: str, headings: Sequence[str], rows: Iterable[Sequence[object]]
) -> HttpResponseBase:
    """A workbook of one sheet, written row by row in bounded memory."""
    from openpyxl import Workbook  # noqa: PLC0415  # a tenth of a start: only who exports waits

    book = Workbook(write_only=True)
    sheet = book.create_sheet(name[:31])
    sheet.freeze_panes = "A2"
    sheet.append([_text_cell(sheet, heading) for heading in headings])
    for row in rows:
        sheet.append([_text_cell(sheet, cell) for cell in row])
    file = TemporaryFile()  # noqa: SIM115  # the response closes it
    book.save(file)
    file.seek(0)
    response = FileResponse(file, content_type=XLSX)
    response.headers["Content-Disposition"] = _attachment(f"{name}.xlsx")
    return response


def exported(
    form: str, name: str, headings: Sequence[str], rows: Iterable[Sequence[object]]
) -> HttpResponseBase:
    """The table in the format asked for, "csv" or "xlsx"."""
    make = {"csv": as_csv, "xlsx": as_xlsx}[form]
    return make(name, headings, rows)
