"""Certificate numbers that tell a slip of the pen.

A number is RK-YEAR-SERIAL-CC, as RK-2026-00042-32: a year, a running number of at least five
digits, and two check digits by ISO 7064, pure system MOD 97-10, over year and serial. 97 is prime
and 10 generates its whole multiplicative group, so every wrong digit and every swap of two digits,
neighbours or not, is caught; of other slips about one in 97 passes.
"""

import re

_WRITTEN = re.compile(r"RK(?P<year>[0-9]{4})(?P<serial>[0-9]{5,9})(?P<check>[0-9]{2})")
_LETTERS_FOR_DIGITS = str.maketrans("OIL", "011")
_MIN_SERIAL = 5
_MAX_SERIAL = 9


def mod_97_10(body: str) -> str:
    """Return the two check digits of ISO 7064 MOD 97-10.

    Letters count as 10 to 35, as in ISO 17442 and ISO 13616. Raises ValueError for other signs.
    """
    if not re.fullmatch(r"[0-9A-Z]+", body):
        raise ValueError(f"“{body}” has signs other than digits and capital letters.")
    digits = "".join(str(int(sign, 36)) for sign in body)
    return f"{98 - int(digits) * 100 % 97:02}"


def certificate_number(year: int, serial: int) -> str:
    """Return the number with its check digits. Raises ValueError out of range."""
    if not 1000 <= year <= 9999:  # noqa: PLR2004  # four digits
        raise ValueError(f"{year} is no year of four digits.")
    if not 1 <= serial < 10**_MAX_SERIAL:
        raise ValueError(f"Serial {serial} is not from 1 to {10**_MAX_SERIAL - 1}.")
    body = f"{year}{serial:0{_MIN_SERIAL}}"
    return f"RK-{body[:4]}-{body[4:]}-{mod_97_10(body)}"


def read_certificate_number(text: str) -> str:
    """Return the number in its one spelling, however it was typed or spaced.

    The letters O, I and L are taken for digits. Raises ValueError, with a text that a person may
    read, for what has not the shape of a number or fails its check digits.
    """
    signs = re.sub(r"[\s‐‑‒–—−-]", "", text).upper()  # noqa: RUF001  # dashes of every kind
    found = _WRITTEN.fullmatch(signs[:2] + signs[2:].translate(_LETTERS_FOR_DIGITS))
    if not found:
        raise ValueError(f"“{text[:40]}” is no certificate number: it looks like RK-2026-00042-32.")
    if mod_97_10(found["year"] + found["serial"]) != found["check"]:
        raise ValueError(f"“{text[:40]}” has a wrong digit somewhere: please compare it again.")
    return f"RK-{found['year']}-{found['serial']}-{found['check']}"
