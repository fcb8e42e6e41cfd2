"""Which column holds what, guessed: first by its heading's words, then by its values' looks.

A heading names a field when it is one of the field's words (4 points, a little less for each later
word) or holds one (2 points). Values that cannot be what the heading says take the guess away;
values that are unmistakable (mails, telephone numbers, whole addresses) make one where no heading
helped (1 point). The best pairs of field and column are taken first, each field and column once.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date

from customers.folding import fold
from customers.importing import cells
from customers.importing.addresses import looks_whole
from customers.importing.dates import DAY_FIRST, MONTH_FIRST, parse_day
from customers.importing.fields import DATES, FIELDS, Field
from customers.importing.problems import Unreadable

EXACT, HOLDS, LOOKS, LATER = 4.0, 2.0, 1.0, 0.01
MOST = 0.6  # the share of a column's values that must look like it
FEW = 0.3

# Words that stand in too many headings to mean anything there unless they stand alone.
_COMMON = {
    "name", "number", "first", "last", "since", "total", "num", "via", "place", "contact", "desde",
    "fecha", "paid", "nombre", "numero", "building", "note", "nota", "expires", "client",
    "customer", "cliente", "owner", "site name", "amount", "address", "unit", "state", "estado",
    "completed", "city", "street", "mobile", "interior", "community", "consent", "certificate",
}  # fmt: skip
_PHONE = re.compile(r"[+(]?[\d\s().\-/+]{7,}(?:x|ext\.?)?\s?\d*", re.IGNORECASE)
_NO_YEAR = date(2020, 1, 1)  # whether a text is a day at all does not hang on today

Look = Callable[[str], object]


def guess_columns(
    headings: Sequence[str], examples: Mapping[str, Sequence[str]], *, region: str
) -> dict[str, list[str]]:
    """Return for each field that was found its heading, in the order of FIELDS."""
    looks = _looks(region)
    pairs = [
        (-score, at, field.code, heading)
        for field in FIELDS
        for at, heading in enumerate(headings)
        if (score := _score(field, heading, examples.get(heading, ()), looks))
    ]
    found: dict[str, list[str]] = {}
    taken: set[str] = set()
    for _, _, code, heading in sorted(pairs):
        if code not in found and heading not in taken:
            found[code] = [heading]
            taken.add(heading)
    return {field.code: found[field.code] for field in FIELDS if field.code in found}


def _score(field: Field, heading: str, examples: Sequence[str], looks: Mapping[str, Look]) -> float:
    said = _said(field, fold(heading.replace("#", " number ")))
    look = looks.get(field.code)
    if look is None or not examples:
        return said
    share = sum(_is(look, text) for text in examples) / len(examples)
    if said:
        return said if share >= FEW else 0.0
    if field.code in _UNMISTAKABLE and share >= MOST and not all(map(str.isdecimal, examples)):
        return LOOKS * share
    return 0.0


_UNMISTAKABLE = ("mail", "phone", "second_phone", "address")


def _said(field: Field, heading: str) -> float:
    words = field.words
    if field.code == "street":
        words = (*words, "address", "direccion", "domicilio", "property address", "service address")
    if heading in words:
        return EXACT - LATER * words.index(heading)
    parts = set(heading.split())
    holds = [word for word in words if word not in _COMMON and set(word.split()) <= parts]
    if holds:
        return HOLDS + LATER * max(len(word) for word in holds)
    return 0.0


def _is(look: Look, text: str) -> bool:
    try:
        return look(text) is not False
    except Unreadable:
        return False


def _looks(region: str) -> dict[str, Look]:
    def phone(text: str) -> object:
        if not _PHONE.fullmatch(text.strip()):
            return False
        local = len(re.sub(r"\D", "", text)) == cells.LOCAL_DIGITS
        return local or cells.parse_phones(text, region=region)

    days = dict.fromkeys(DATES, _day)
    return days | {
        "mail": cells.parse_mails,
        "phone": phone,
        "second_phone": phone,
        "address": looks_whole,
        "street": lambda text: not looks_whole(text) and any(map(str.isalpha, text)),
        "price": cells.parse_money,
        "mail_consent": cells.parse_yes,
        "language": cells.parse_language,
        "house_number": lambda text: text.strip()[:1].isdecimal() or len(text.strip()) == 1,
        "postal_code": lambda text: any(map(str.isdecimal, text)),
        "name": lambda text: any(map(str.isalpha, text)),
    }


def _day(text: str) -> date:
    try:
        return parse_day(text, order=MONTH_FIRST, today=_NO_YEAR)
    except Unreadable:
        return parse_day(text, order=DAY_FIRST, today=_NO_YEAR)
