"""Workbooks (Office Open XML, .xlsx): the first visible sheet that holds anything, row by row."""

from collections.abc import Generator
from datetime import date, datetime, time
from pathlib import Path
from typing import IO, TYPE_CHECKING
from zipfile import BadZipFile, ZipFile

from customers.importing.problems import NotATable

if TYPE_CHECKING:
    from openpyxl import Workbook

MOST_UNPACKED = 1_000_000_000  # bytes; a workbook of 50,000 rows and 20 columns has about 60 MB
MOST_TEXTS = 150_000_000  # bytes of the table of texts, which is held in memory
MOST_PARTS = 2_000
OLD_WORKBOOK = (
    "This is a workbook of the old kind (.xls). Open it in your spreadsheet program and save it as"
    " .xlsx or .csv."
)
LOCKED = (
    "This workbook is locked with a password. Take the password off in your spreadsheet program"
    " and send it again."
)
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_OLD_STARTS = (b"\x09\x00\x04\x00", b"\x09\x02\x06\x00", b"\x09\x04\x06\x00", b"\x09\x08")
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")


def is_workbook(path: Path) -> bool:
    """Whether the file is a packed workbook, by its first bytes and not by its name.

    Raises NotATable for old, locked and other packed files.
    """
    with path.open("rb") as file:
        start = file.read(8)
        if start == _OLE:
            raise NotATable(LOCKED if _holds(file, _ENCRYPTED) else OLD_WORKBOOK)
    if start.startswith(_OLD_STARTS):
        raise NotATable(OLD_WORKBOOK)
    if start[:4] != b"PK\x03\x04":
        return False
    _check_package(path)
    return True


def workbook_rows(path: Path) -> Generator[list[str], None, None]:
    """Yield every row of the first visible sheet that has one, cells as text."""
    from openpyxl import load_workbook  # noqa: PLC0415  # takes 0.2 s: only who imports waits

    with path.open("rb") as file:  # by its bytes: openpyxl would go by the name
        try:
            book = load_workbook(file, read_only=True, data_only=True, keep_links=False)
        except Exception as error:
            raise NotATable("This workbook is damaged: it cannot be opened.") from error
        try:
            yield from _first_sheet(book)
        except NotATable:
            raise
        except Exception as error:
            raise NotATable("This workbook is damaged: its sheet cannot be read.") from error
        finally:
            book.close()


def _first_sheet(book: "Workbook") -> Generator[list[str], None, None]:
    for sheet in book.worksheets:
        if sheet.sheet_state != "visible":
            continue
        sheet.reset_dimensions()  # what programs write there is often wrong
        rows = ([_text(value) for value in row] for row in sheet.iter_rows(values_only=True))
        first = next((row for row in rows if any(row)), None)
        if first is not None:
            yield first
            yield from rows
            return


def _holds(file: IO[bytes], wanted: bytes) -> bool:
    before = b""
    while chunk := file.read(1_048_576):
        if wanted in before + chunk:
            return True
        before = chunk[-len(wanted) :]
    return False


def _check_package(path: Path) -> None:
    """Refuse what would unpack to more than memory or patience hold, and other packages.

    The declared sizes bind: zipfile reads no byte beyond them.
    """
    try:
        with ZipFile(path) as package:
            parts = package.infolist()
    except (BadZipFile, OSError, ValueError) as error:
        raise NotATable("This file is damaged: it cannot be unpacked.") from error
    names = {part.filename for part in parts}
    if "xl/workbook.xml" not in names:
        raise NotATable(
            "This is a packed file but no .xlsx workbook. Save the table as .xlsx or .csv."
        )
    texts = sum(part.file_size for part in parts if "sharedstrings" in part.filename.lower())
    unpacked = sum(part.file_size for part in parts)
    if len(parts) > MOST_PARTS or texts > MOST_TEXTS or unpacked > MOST_UNPACKED:
        raise NotATable("This workbook would unpack to far more than a table of homes needs.")


def _text(value: object) -> str:
    """Return a cell as the same text that a CSV of it would hold: dates as ISO 8601."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    if isinstance(value, datetime):
        plain = value.time() == time()
        return value.date().isoformat() if plain else value.isoformat(sep=" ", timespec="seconds")
    if isinstance(value, date):
        return value.isoformat()
    return str(value)
