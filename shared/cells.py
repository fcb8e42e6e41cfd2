"""Text made harmless for spreadsheets.

A cell that begins with = + - @, a tab, a carriage return, a line feed or NUL may be run as a
formula by the program that opens the table; OWASP ASVS 5.0 V1.2.10 asks for a single quote before
it. The full-width forms of these signs are treated alike. Control characters that XML 1.0 does not
allow are dropped, since a workbook that holds them cannot be opened.
"""

import re
from datetime import date, datetime
from decimal import Decimal

Cell = str | int | Decimal | date | datetime | None

_FORMULA = re.compile(r"^[\s\x00\u200b\ufeff]*[=+\-@\uff1d\uff0b\uff0d\uff20]|^[\t\r\n\x00]")
_NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


def harmless(text: str) -> str:
    """Return the text so that no spreadsheet runs it and every workbook can hold it."""
    quoted = f"'{text}" if _FORMULA.match(text) else text
    return _NOT_XML.sub("", quoted)


def as_cell(value: object) -> Cell:
    """Return the value as a cell: numbers and dates stay themselves, all else is harmless text."""
    if value is None or isinstance(value, int | Decimal | date):
        return value
    return harmless(str(value))
