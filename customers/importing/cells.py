"""One cell as the value that its column is said to hold.

Each reader returns a value or raises Unreadable, whose text a person may read. Telephone numbers
are read and judged by libphonenumber. Money is decimal, never below zero, to the cent.
"""

import re
import unicodedata
from decimal import ROUND_HALF_UP, Decimal

import phonenumbers

from customers.folding import fold
from customers.importing.problems import Unreadable

MOST_MONEY = Decimal("9999999999.99")
LONGEST_MAIL = 254
LOCAL_DIGITS = 7
_LEAST_NORTH_AMERICAN = 2_000_000_000
CENT = Decimal("0.01")

# What programs and people put where nothing is known. Names are judged more kindly: Null is one.
NOTHING = {"-", "--", "---", "n/a", "#n/a", "#value!", "#ref!", "#name?", "#div/0!", "#null!", "?"}
NOTHING_BUT_A_NAME = NOTHING | {"na", "null", "none", "nan", "nil", "unknown", "n.a.", "tbd"}

YES = {"yes", "y", "true", "1", "x", "ok", "opt in", "optin", "si", "s", "on", "verdadero", "✓"}
NO = {"no", "n", "false", "0", "opt out", "optout", "off", "falso", "never"}
LANGUAGES = {
    "en": "en", "eng": "en", "english": "en", "ingles": "en",
    "es": "es", "spa": "es", "esp": "es", "spanish": "es", "espanol": "es", "castellano": "es",
}  # fmt: skip
COUNTRIES = {
    "usa": "US", "us": "US", "united states": "US", "united states of america": "US",
    "estados unidos": "US", "eeuu": "US", "canada": "CA", "mexico": "MX", "australia": "AU",
    "new zealand": "NZ", "united kingdom": "GB", "uk": "GB", "great britain": "GB",
    "ireland": "IE", "south africa": "ZA", "spain": "ES", "espana": "ES",
}  # fmt: skip

# A quote that an export put before a formula sign to make it harmless (shared/cells.py).
_HARMLESS = re.compile("^'(?=[\\s\u200b\ufeff]*[=+\\-@\uff1d\uff0b\uff0d\uff20]|[\\t\\r\\n])")
_LINE_END = re.compile(r"\r\n|[\r\n\x0b\x0c\x85\u2028\u2029]")
_MONEY = re.compile(r"(?P<minus>-|\()?(?P<number>\d[\d.,'\s]*)\)?")
_CURRENCY = re.compile("[$€£¥\u00a2]|\\b(?:usd|cad|aud|mxn|eur|gbp|us|dollars?|dolares)\\b")
_GROUPED = re.compile(r"\d{1,3}(?:([.,' ])\d{3})(?:\1\d{3})*")
_MAIL = re.compile(r"[^@\s,;<>()\"]+@[^@\s,;<>()\"]+\.[^@\s,;<>()\".]{2,}")
_PHONE_ENDS = re.compile(r"\s*(?:[/;,|\n]|\bor\b|\band\b|\bo\b|\by\b|&)\s*", re.IGNORECASE)


def cleaned(text: str) -> str:
    """Return the cell's text without signs that no record may hold; line ends are one kind."""
    if text.isprintable() and text[:1] != "'":
        return text.strip()
    lines = _LINE_END.sub("\n", _HARMLESS.sub("", text))
    kept = (
        char
        for char in lines
        if char in "\n\t" or unicodedata.category(char) not in {"Cc", "Cs", "Cn"}
    )
    return "".join(kept).replace("\ufeff", "").strip()


def one_line(text: str) -> str:
    return " ".join(text.split())


def parse_money(text: str) -> Decimal:
    """Return an amount to the cent, half a cent rounded up."""
    bare = _CURRENCY.sub("", text.casefold()).strip()
    match = _MONEY.fullmatch(bare)
    if not match:
        raise Unreadable(f"“{text[:40]}” cannot be read as an amount. Write it like 3930.00.")
    if match["minus"]:
        raise Unreadable(f"“{text[:40]}” is below zero.")
    amount = Decimal(_plain(match["number"].strip(), text))
    if amount > MOST_MONEY:  # before rounding, for which thirty digits would be too many
        raise Unreadable(f"“{text[:40]}” is more than any job costs.")
    return amount.quantize(CENT, ROUND_HALF_UP)


def _plain(number: str, text: str) -> str:
    """Return the digits with a point before the decimals, whichever sign divides what."""
    marks = re.sub(r"\d", "", number)
    last = marks[-1:]
    whole, _, decimals = number.rpartition(last) if last else (number, "", "")
    if not marks:
        return number
    if marks == "." and len(decimals) == len("000") and len(whole) <= len("000"):
        raise Unreadable(f"“{text[:40]}” could be {whole}{decimals} or {whole}.{decimals[:2]}.")
    if marks != "." and _GROUPED.fullmatch(number):
        return re.sub(r"\D", "", number)
    if last in ".," and marks.count(last) == 1 and (not marks[:-1] or _GROUPED.fullmatch(whole)):
        return f"{re.sub(r'[^0-9]', '', whole)}.{decimals or '0'}"
    raise Unreadable(f"“{text[:40]}” cannot be read as an amount. Write it like 3930.00.")


def parse_phones(text: str, *, region: str, area_code: str = "") -> list[tuple[str, str]]:
    """Return every telephone number of the cell in E.164, each with its extension or "".

    A number of seven digits gets the area code, where one is given.
    """
    if whole := _phone(text, region, area_code):
        return [whole]
    found = []
    for part in filter(None, _PHONE_ENDS.split(text)):
        phone = _phone(part, region, area_code)
        if phone is None:
            raise Unreadable(_no_phone(part, area_code))
        found.append(phone)
    return found


def _phone(text: str, region: str, area_code: str) -> tuple[str, str] | None:
    digits = re.sub(r"\D", "", text)
    if len(digits) == LOCAL_DIGITS and area_code and not text.lstrip().startswith("+"):
        text = f"{area_code}{digits}"
    try:
        number = phonenumbers.parse(text, region)
    except phonenumbers.NumberParseException:
        return None
    if not phonenumbers.is_valid_number(number):
        return None
    if number.country_code == 1 and (number.national_number or 0) < _LEAST_NORTH_AMERICAN:
        return None  # libphonenumber knows short ones there, which nobody can call from elsewhere
    e164 = phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)
    return e164, number.extension or ""


def _no_phone(text: str, area_code: str) -> str:
    digits = re.sub(r"\D", "", text)
    if len(digits) == LOCAL_DIGITS and not area_code:
        return f"The telephone number “{text[:40]}” has no area code."
    return f"“{text[:40]}” is no telephone number. From abroad with + and the country."


def parse_mails(text: str) -> list[str]:
    """Return every mail address of the cell, as written but for the case of the domain."""
    mails = _MAIL.findall(text.replace("mailto:", " "))
    rest = _MAIL.sub("", text.replace("mailto:", " "))
    if not mails or "@" in rest:
        raise Unreadable(f"“{text[:60]}” is no mail address.")
    for mail in mails:
        if len(mail) > LONGEST_MAIL or ".." in mail or mail.startswith("."):
            raise Unreadable(f"“{mail[:60]}” is no mail address.")
    return ["@".join((local, domain.lower())) for local, _, domain in map(_parted, mails)]


def _parted(mail: str) -> tuple[str, str, str]:
    return mail.rpartition("@")


def parse_yes(text: str) -> bool:
    word = fold(text) or text.strip()
    if word in YES:
        return True
    if word in NO:
        return False
    raise Unreadable(f"“{text[:40]}” is neither yes nor no.")


def parse_language(text: str) -> str:
    code = fold(text).split(" ")[0]
    if code not in LANGUAGES:
        raise Unreadable(f"We do not write in “{text[:40]}”: only in English (en) or Spanish (es).")
    return LANGUAGES[code]


def parse_country(text: str) -> str:
    folded = fold(text.replace(".", ""))
    if folded in COUNTRIES:
        return COUNTRIES[folded]
    code = text.strip().upper()
    if code not in phonenumbers.SUPPORTED_REGIONS:
        raise Unreadable(f"“{text[:40]}” is no country's two letters: US.")
    return code


def parse_name(text: str) -> str:
    """Return the name as people say it: "Ortega, Ana" is Ana Ortega; a firm's commas stay."""
    name = one_line(text)
    last, comma, first = name.partition(", ")
    if not comma or "," in first or fold(first) in _BEHIND_A_FIRM or not first.strip():
        return name
    return f"{first} {last}" if fold(last) else name


_BEHIND_A_FIRM = {
    "inc", "llc", "ltd", "co", "corp", "lp", "llp", "pllc", "pc", "jr", "sr", "ii", "iii", "iv",
    "trust", "trustee", "the", "md", "dds", "esq", "sa", "sl", "de", "etal", "et al",
}  # fmt: skip
