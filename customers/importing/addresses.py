"""An address written in one cell, taken apart: street, unit, town, region, postal code.

Parts are divided by commas or line ends, the street first, region and postal code last, as postal
authorities ask (USPS Publication 28, section 212; Canada Post and Australia Post alike). What has
no such shape is left whole: recognising a home needs no parts (customers/folding.py).
"""

import re
from typing import NamedTuple

from customers.folding import STATES, fold
from customers.importing.cells import COUNTRIES

_US = r"\d{5}(?:-?\d{4})?"
_CANADIAN = r"[A-Za-z]\d[A-Za-z][ -]?\d[A-Za-z]\d"
_AUSTRALIAN = r"\d{4}"
_POSTAL = rf"(?P<postal>{_US}|{_CANADIAN}|{_AUSTRALIAN})"
_PROVINCES = {
    *(["ab", "bc", "mb", "nb", "nl", "ns", "nt", "nu", "on", "pe", "qc", "sk", "yt"]),
    *(["nsw", "vic", "qld", "wa", "sa", "tas", "act", "nt"]),
}
_POSTAL_BEHIND = re.compile(rf"(?P<before>.*?)[\s,]*\b{_POSTAL}")
_UNIT_WORD = r"(?:apartment|apartamento|apt|apto|unit|unidad|suite|ste|lot|space|spc|trailer|bldg)"
_UNIT_ID = r"(?:[A-Za-z]{0,2}-?\d[\w-]{0,10}|[A-Za-z])"
_UNIT_BEHIND = re.compile(
    rf"(?P<street>.*\S)[\s,]+(?P<unit>(?:{_UNIT_WORD}\b\.?\s*#?|#)\s*{_UNIT_ID})", re.IGNORECASE
)
_UNIT_ALONE = re.compile(rf"(?:{_UNIT_WORD}\b\.?\s*#?|#)\s*{_UNIT_ID}", re.IGNORECASE)
_UNIT_BEFORE = re.compile(r"#\s*(?P<unit>[\w]{1,8})\s*[-,]?\s+(?P<street>\d.*)|"
                          r"#(?P<unit2>\d+[A-Za-z]?)-(?P<street2>\d+ .*)")  # fmt: skip


class Address(NamedTuple):
    street: str
    unit: str = ""
    city: str = ""
    region: str = ""
    postal_code: str = ""
    country: str = ""


def parse_address(text: str) -> Address:
    """Return the parts that the text shows; what it does not show is empty."""
    parts = [" ".join(part.split()) for part in re.split(r"[,\n]", text)]
    parts = [part for part in parts if part]
    if not parts:
        return Address("")
    country = COUNTRIES.get(fold(parts[-1]), "") if len(parts) > 1 else ""
    if country:
        parts.pop()
    city, region, postal = _end(parts)
    street, unit = parse_street(", ".join(parts))
    return Address(street, unit, city, region, postal, country)


def parse_street(text: str) -> tuple[str, str]:
    """Return street and unit, where the street's cell names one."""
    street = " ".join(text.replace("\n", " ").split()).strip(" ,")
    if match := _UNIT_BEFORE.fullmatch(street):
        return (match["street"] or match["street2"], f"#{match['unit'] or match['unit2']}")
    if match := _UNIT_BEHIND.fullmatch(street):
        return match["street"].rstrip(" ,"), match["unit"]
    return street, ""


def looks_whole(text: str) -> bool:
    """Whether the text shows a street and, behind a comma or a line end, a town."""
    address = parse_address(text)
    return bool(address.street[:1].isdecimal() and address.city and address.region)


def _end(parts: list[str]) -> tuple[str, str, str]:
    """Take town, region and postal code off the end of the parts."""
    if len(parts) == 1:
        return "", "", ""
    postal = region = ""
    if match := _POSTAL_BEHIND.fullmatch(parts[-1]):
        town, region = _region_off(match["before"])
        if region or not match["before"]:
            postal = match["postal"]
            parts[-1:] = [town] if town else []
    if not region and len(parts) > 1:
        town, region = _region_off(parts[-1])
        parts[-1:] = [town] if town else []
    return _town(parts), region, postal


def _region_off(text: str) -> tuple[str, str]:
    """Return what stands before a region at the text's end, and that region or ""."""
    words = text.split()
    for count in (3, 2, 1):
        region = " ".join(words[-count:]).rstrip(".")
        if len(words) >= count and is_region(region):
            return " ".join(words[:-count]), region
    return text, ""


def _town(parts: list[str]) -> str:
    """Take the last part off as the town, unless it is the street itself or a unit of it."""
    if len(parts) < 2 or _UNIT_ALONE.fullmatch(parts[-1]):  # noqa: PLR2004  # two
        return ""
    return parts.pop()


def is_region(text: str) -> bool:
    folded = fold(text)
    return folded in STATES or folded in STATES.values() or folded in _PROVINCES
