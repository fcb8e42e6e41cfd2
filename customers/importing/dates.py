"""Days as people and programs write them.

Read are: year first (2024-03-09, 2024/3/9, 20240309, a time behind it passed over), month in words
in English or Spanish (9 March 2024, Mar 9, 2024, 9-mar-24, 9 de marzo de 2024), numbers divided by
dots (day first, as wherever dots are used), numbers divided by slashes or dashes (3/9/2024: which
comes first is the column's, see `order_of`), and a spreadsheet's running day number (45360 is
9 March 2024: days since 30 December 1899). A year of two digits is the last such year that is not
after next year.
"""

import re
from collections.abc import Iterable
from datetime import date, timedelta
from typing import Literal

from customers.folding import fold
from customers.importing.problems import Unreadable

Order = Literal["day", "month", "both", ""]
DAY_FIRST: Order = "day"
MONTH_FIRST: Order = "month"
BOTH: Order = "both"  # some rows say the one, some the other
UNSAID: Order = ""

EARLIEST = date(1900, 1, 1)
LATEST_YEAR = 2199
_SERIAL_ORIGIN = date(1899, 12, 30)
_SERIALS = range(10_000, 80_000)  # 1927 to 2119
_MONTHS = 12
_CENTURY = 100

_TIME = (
    r"(?:[T ,]+\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?: ?[AaPp]\.?[Mm]\.?)?(?:Z| ?[+-]\d{2}:?\d{2})?)?"
)
_YEAR_FIRST = re.compile(rf"(\d{{4}})([-/. ])(\d{{1,2}})\2(\d{{1,2}}){_TIME}")
_PACKED = re.compile(r"(\d{4})(\d{2})(\d{2})")
_SERIAL = re.compile(r"(\d{5})(?:\.\d+)?")
_DOTS = re.compile(rf"(\d{{1,2}})\. ?(\d{{1,2}})\. ?(\d{{4}}|\d{{2}}){_TIME}")
_NUMBERS = re.compile(rf"(\d{{1,2}}) ?([/-]) ?(\d{{1,2}}) ?\2 ?(\d{{4}}|\d{{2}}){_TIME}")
_WORDED = re.compile(r"[^\W\d_]{3,}")

_NAMES = (
    "january enero",
    "february febrero",
    "march marzo",
    "april abril",
    "may mayo",
    "june junio",
    "july julio",
    "august agosto",
    "september septiembre setiembre sept",
    "october octubre",
    "november noviembre",
    "december diciembre",
)
MONTHS = {
    short: number
    for number, names in enumerate(_NAMES, start=1)
    for name in names.split()
    for short in (name, name[:3])
}
_FILLERS = {"de", "del", "of", "the", "st", "nd", "rd", "th", "at"}
_WEEKDAYS = {"mon", "tue", "wed", "thu", "fri", "sat", "sun"}
_DAY_AND_YEAR = 2


def parse_day(text: str, *, order: Order, today: date) -> date:
    """Return the day. Raises Unreadable, also where it could be two days and `order` is unsaid."""
    text = text.strip()
    found = _year_first(text) or _serial(text) or _dots(text, today) or _in_words(text, today)
    if found is None:
        found = _by_order(text, order, today)
    if not found >= EARLIEST or found.year > LATEST_YEAR:
        raise Unreadable(f"“{text[:40]}” is no day that we can use: it is too long ago or too far.")
    return found


def order_of(texts: Iterable[str]) -> Order:
    """Return what the days of one column, divided by slashes or dashes, come first with."""
    found: Order = UNSAID
    for text in texts:
        said = order_said(text)
        if said and found and said != found:
            return BOTH
        found = found or said
    return found


def order_said(text: str) -> Order:
    """Return what this one day alone says about the order of its column."""
    match = _NUMBERS.fullmatch(text.strip())
    if not match:
        return UNSAID
    first, second = int(match[1]), int(match[3])
    if first > _MONTHS >= second:
        return DAY_FIRST
    return MONTH_FIRST if second > _MONTHS >= first else UNSAID


def needs_order(text: str) -> bool:
    """Whether the text is one day or another by what comes first."""
    match = _NUMBERS.fullmatch(text.strip())
    if not match or order_said(text):
        return False
    return int(match[1]) != int(match[3])


def _year_first(text: str) -> date | None:
    if match := _YEAR_FIRST.fullmatch(text):
        return _day(text, int(match[1]), int(match[3]), int(match[4]))
    if match := _PACKED.fullmatch(text):
        return _day(text, *(int(part) for part in match.groups()))
    return None


def _serial(text: str) -> date | None:
    match = _SERIAL.fullmatch(text)
    if not match or int(match[1]) not in _SERIALS:
        return None
    return _SERIAL_ORIGIN + timedelta(days=int(match[1]))


def _dots(text: str, today: date) -> date | None:
    if match := _DOTS.fullmatch(text):
        return _day(text, _whole_year(match[3], today), int(match[2]), int(match[1]))
    return None


def _in_words(text: str, today: date) -> date | None:
    """A month in words, a day and a year, in either order, and nothing else."""
    if not _WORDED.search(text):
        return None
    parts = re.findall(r"\d+|[^\W\d_]+", fold(text))
    months = [MONTHS[part] for part in parts if part in MONTHS]
    numbers = [part for part in parts if part.isdecimal()]
    other = [
        part
        for part in parts
        if not (part.isdecimal() or part in MONTHS or part in _FILLERS or part[:3] in _WEEKDAYS)
    ]
    if len(months) != 1 or len(numbers) != _DAY_AND_YEAR or other:
        return None
    day, year = reversed(numbers) if len(numbers[0]) == len("2024") else numbers
    return _day(text, _whole_year(year, today), months[0], int(day))


def _by_order(text: str, order: Order, today: date) -> date:
    match = _NUMBERS.fullmatch(text)
    if not match:
        raise Unreadable(f"“{text[:40]}” cannot be read as a day. Write it like 2024-03-09.")
    first, second, year = int(match[1]), int(match[3]), _whole_year(match[4], today)
    order = order_said(text) or order
    if needs_order(text) and order not in {DAY_FIRST, MONTH_FIRST}:
        one, other = _day(text, year, first, second), _day(text, year, second, first)
        raise Unreadable(
            f"“{text}” could be {one:%B} {one.day} or {other:%B} {other.day}. Write it like"
            f" {one.isoformat()}."
        )
    day, month = (first, second) if order == DAY_FIRST else (second, first)
    return _day(text, year, month, day)


def _whole_year(text: str, today: date) -> int:
    year = int(text)
    if len(text) != len("24"):
        return year
    this_century = today.year // _CENTURY * _CENTURY + year
    return this_century if this_century <= today.year + 1 else this_century - _CENTURY


def _day(text: str, year: int, month: int, day: int) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise Unreadable(f"“{text[:40]}” is no day of the calendar.") from None
