"""A row of the table as a record of a home, or every reason why it cannot be one."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from customers.folding import address_key, address_words, fold
from customers.importing import cells
from customers.importing.addresses import Address, parse_address, parse_street
from customers.importing.dates import DAY_FIRST, MONTH_FIRST, UNSAID, Order, parse_day
from customers.importing.fields import DATES, LABELS
from customers.importing.problems import Unreadable
from customers.importing.reading import Row

LONGEST = {
    "name": 200, "street": 200, "unit": 40, "city": 100, "region": 40, "postal_code": 20,
    "neighbourhood": 100, "promise_number": 20,
}  # fmt: skip
LONGEST_NOTE = 4_000
LONGEST_CELL = 1_000
BASES = {
    "home": "home", "house": "home", "property": "home", "hogar": "home", "casa": "home",
    "transferable": "home", "household": "ownership", "ownership": "ownership",
    "owner": "ownership", "not transferable": "ownership", "propietario": "ownership",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Rules:
    """How the columns are to be read.

    `columns` names the headings of each field, joined by a space; `always` fills in what a row
    does not say (also "area_code"); `orders` what comes first in a heading's days.
    """

    columns: Mapping[str, Sequence[str]]
    region: str  # two letters: whose telephone numbers have no country, and where homes stand
    today: date
    always: Mapping[str, str] = field(default_factory=dict)
    orders: Mapping[str, Order] = field(default_factory=dict)
    day_first: bool | None = None

    def order(self, code: str) -> Order:
        """What comes first in a field's days: as the column says, else as we were told."""
        told: Order = UNSAID
        if self.day_first is not None:
            told = DAY_FIRST if self.day_first else MONTH_FIRST
        said = {self.orders.get(heading, UNSAID) for heading in self.columns.get(code, ())}
        clear = said & {DAY_FIRST, MONTH_FIRST}
        return clear.pop() if len(clear) == 1 else told


@dataclass(frozen=True, slots=True)
class Record:
    """What one row says of one home. Empty text, None and False for what it does not say."""

    street: str
    city: str
    unit: str = ""
    region: str = ""
    postal_code: str = ""
    country: str = "US"
    neighbourhood: str = ""
    name: str = ""
    phone: str = ""
    second_phone: str = ""
    mail: str = ""
    language: str = ""
    mail_consent: bool | None = None
    another_home: bool = False
    note: str = ""
    since: date | None = None
    installed_on: date | None = None
    price: Decimal | None = None
    promised: bool = False
    promise_number: str = ""
    promised_on: date | None = None
    promise_until: date | None = None
    promise_text: str = ""
    promise_basis: str = ""

    @property
    def key(self) -> str:
        """By what the home is recognised (customers/folding.py)."""
        return address_key(
            street=self.street,
            unit=self.unit,
            city=self.city,
            region=self.region,
            country=self.country,
        )

    @property
    def has_household(self) -> bool:
        """Whether the row says anything that belongs to people and not to walls."""
        said = (self.name, self.phone, self.second_phone, self.mail, self.note, self.installed_on)
        return bool(any(said) or self.promised or self.mail_consent is not None)


class RowReader:
    """Reads the rows of one table by one set of rules."""

    def __init__(self, headings: Sequence[str], rules: Rules) -> None:
        places = {heading: at for at, heading in enumerate(headings)}
        self.rules = rules
        self.places = {
            code: [places[heading] for heading in wanted if heading in places]
            for code, wanted in rules.columns.items()
        }

    def read(self, row: Row) -> Record | list[str]:
        """Return the record, or all that is wrong with the row, in the order of the fields."""
        if row.problem:
            return [row.problem]
        reading = _Reading({code: self._text(code, row.cells) for code in LABELS}, self.rules)
        record = reading.record()
        return reading.reasons or record

    def _text(self, code: str, row: Sequence[str]) -> str:
        nothing = cells.NOTHING if code.endswith("name") else cells.NOTHING_BUT_A_NAME
        parts = (cells.cleaned(row[at]) for at in self.places.get(code, ()))
        return " ".join(part for part in parts if part and part.casefold() not in nothing)


class _Reading:
    """One row on its way: its texts, and what was wrong with them so far."""

    def __init__(self, texts: Mapping[str, str], rules: Rules) -> None:
        self.reasons: list[str] = []
        self.said = {code: self._of_bearable_length(code, text) for code, text in texts.items()}
        self.texts = {code: text or rules.always.get(code, "") for code, text in self.said.items()}
        self.rules = rules

    def record(self) -> Record:
        address = self._address()
        phones, notes = self._phones()
        mails = self._parsed("mail", cells.parse_mails, [])
        days: dict[str, Any] = {code: self._day(code) for code in DATES}
        price = self._parsed("price", cells.parse_money, None)
        if price is not None and days["installed_on"] is None and not self._failed("installed_on"):
            self.reasons.append(f"{LABELS['price']}: a price needs the day of fitting.")
        notes += [f"Also: {mail}" for mail in mails[1:]]
        return Record(
            **address,
            **days,
            **self._promise(days),
            price=price,
            name=self._short("name", self._name()),
            phone=phones[0],
            second_phone=phones[1],
            mail=mails[0] if mails else "",
            language=self._parsed("language", cells.parse_language, ""),
            mail_consent=self._parsed("mail_consent", cells.parse_yes, None),
            another_home=bool(self._parsed("another_home", cells.parse_yes, False)),
            note="\n".join(filter(None, [self.texts["note"], *notes]))[:LONGEST_NOTE],
            neighbourhood=self._short("neighbourhood", cells.one_line(self.texts["neighbourhood"])),
        )

    def _of_bearable_length(self, code: str, text: str) -> str:
        """Refuse a book in a cell before it is looked through for parts."""
        if len(text) <= LONGEST_CELL or code in {"note", "promise_text"}:
            return text
        self.reasons.append(f"{LABELS[code]}: longer than {LONGEST_CELL} characters.")
        return ""

    def _address(self) -> dict[str, Any]:
        whole = parse_address(self.texts["address"])
        street, unit = parse_street(self._street())
        own = Address(
            street,
            cells.one_line(self.texts["unit"]) or unit,
            *(cells.one_line(self.said[code]) for code in ("city", "region", "postal_code")),
        )
        always = self.rules.always
        found = {
            code: self._short(
                code, getattr(own, code) or getattr(whole, code) or always.get(code, "")
            )
            for code in ("street", "unit", "city", "region", "postal_code")
        }
        country = self._parsed("country", cells.parse_country, whole.country or self.rules.region)
        self._miss(found, street)
        return {**found, "country": country}

    def _miss(self, found: Mapping[str, str], street: str) -> None:
        """Say what an address lacks to be recognised by."""
        if not address_words(found["street"]) and not self._failed("street"):
            self.reasons.append(f"{LABELS['street']}: the address is missing.")
        elif self.rules.columns.get("house_number") and not any(map(str.isdecimal, street)):
            self.reasons.append(f"{LABELS['house_number']}: without it the home is not recognised.")
        if not found["city"] and not self._failed("city"):
            self.reasons.append(f"{LABELS['city']}: the town is missing.")

    def _street(self) -> str:
        number, street = (cells.one_line(self.texts[code]) for code in ("house_number", "street"))
        if not number or not street or fold(street).startswith(f"{fold(number)} "):
            return street
        return f"{number} {street}"

    def _name(self) -> str:
        parts = (cells.one_line(self.texts[code]) for code in ("given_name", "family_name"))
        return cells.parse_name(self.texts["name"]) or " ".join(filter(None, parts))

    def _phones(self) -> tuple[tuple[str, str], list[str]]:
        """Return the first two telephone numbers, and notes of extensions and further ones."""
        area = self.rules.always.get("area_code", "")
        found: list[tuple[str, str]] = []
        for code in ("phone", "second_phone"):
            found += self._parsed(
                code,
                lambda text: cells.parse_phones(text, region=self.rules.region, area_code=area),
                [],
            )
        different = list(dict.fromkeys(found))
        notes = [f"Extension {extension} at {phone}" for phone, extension in different if extension]
        numbers = list(dict.fromkeys(phone for phone, _ in different))
        notes += [f"Also: {phone}" for phone in numbers[2:]]
        first, second = [*numbers, "", ""][:2]
        return (first, second), notes

    def _day(self, code: str) -> date | None:
        order, today = self.rules.order(code), self.rules.today
        found: date | None = self._parsed(
            code, lambda text: parse_day(text, order=order, today=today), None
        )
        if found and found > today and code != "promise_until":
            self.reasons.append(f"{LABELS[code]}: {found:%B} {found.day}, {found.year} is to come.")
        return found

    def _promise(self, days: Mapping[str, date | None]) -> dict[str, Any]:
        number = self._short("promise_number", cells.one_line(self.texts["promise_number"]))
        text = self.texts["promise_text"]
        said = fold(text) or text
        promised = bool(number or days["promised_on"] or (text and said not in cells.NO))
        basis = BASES.get(fold(self.texts["promise_lasts"]), "")
        if promised and not basis:
            self.reasons.append(
                f"{LABELS['promise_lasts']}: a promise must say whose life it lasts for, home or"
                " household."
            )
        if promised and not (days["promised_on"] or days["installed_on"]):
            self.reasons.append(
                f"{LABELS['promised_on']}: a promise needs the day on which it was given, or the"
                " day of fitting."
            )
        return {
            "promised": promised,
            "promise_number": number,
            "promise_text": "" if said in cells.YES | cells.NO else text[:LONGEST_NOTE],
            "promise_basis": basis if promised else "",
        }

    def _parsed(self, code: str, parse: Callable[[str], Any], nothing: Any) -> Any:
        if not self.texts[code]:
            return nothing
        try:
            return parse(self.texts[code])
        except Unreadable as error:
            self.reasons.append(f"{LABELS[code]}: {error}")
            return nothing

    def _short(self, code: str, text: str) -> str:
        if len(text) <= LONGEST[code]:
            return text
        self.reasons.append(f"{LABELS[code]}: longer than {LONGEST[code]} characters.")
        return ""

    def _failed(self, code: str) -> bool:
        return any(reason.startswith(f"{LABELS[code]}:") for reason in self.reasons)
