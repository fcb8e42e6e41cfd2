"""Settings from the environment: what cannot be meant is refused in one line that names it.

An address may hold a password, so those are not repeated.
"""

import re
from collections.abc import Callable, Collection
from pathlib import Path
from typing import Any
from urllib.parse import SplitResult, urlsplit
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import environ
from django.core.exceptions import ImproperlyConfigured

from shared.length import System
from shared.money import DECIMALS

env = environ.Env()
YES = env.BOOLEAN_TRUE_STRINGS
NO = ("false", "off", "no", "n", "0", "")
DATABASES = ("postgres", "postgresql", "sqlite")
MAIL_SERVERS = ("smtp", "smtps", "smtp+tls", "smtp+ssl")


def yes_or_no(name: str, default: bool) -> bool:
    value = env.str(name, "1" if default else "0").strip().lower()
    if value not in {*YES, *NO}:
        raise _refused(name, value, "is neither 1 nor 0")
    return value in YES


def whole(name: str, default: int, *, least: int = 0, most: int = 1_000_000) -> int:
    value = env.str(name, str(default))
    if not value.isdecimal() or not least <= int(value) <= most:
        raise _refused(name, value, f"is no whole number from {least} to {most}")
    return int(value)


def days_ahead(name: str, default: list[int]) -> list[int]:
    """Return whole numbers of days, given as 42,21,7, the earliest first."""
    value = env.str(name, ",".join(map(str, default)))
    days = [each.strip() for each in value.split(",")]
    if not all(map(str.isdecimal, days)):
        raise _refused(name, value, "is no list of whole numbers such as 42,21,7")
    return sorted(map(int, days), reverse=True)


def chance(name: str, default: float) -> float:
    value = env.str(name, str(default))
    try:
        number = float(value)
    except ValueError as error:
        raise _refused(name, value, "is no number") from error
    if not 0 < number < 1:
        raise _refused(name, value, "does not lie between 0 and 1")
    return number


def one_of(name: str, default: str, known: Collection[str]) -> str:
    value = env.str(name, default)
    if value not in known:
        raise _refused(name, value, f"is none of {', '.join(each for each in known if each)}")
    return value


def units(name: str, default: System) -> System:
    known: dict[str, System] = {"imperial": "imperial", "metric": "metric"}
    return known[one_of(name, default, known)]


def currency(name: str, default: str) -> str:
    value = env.str(name, default)
    if value not in DECIMALS:
        raise _refused(name, value, "is no currency of ISO 4217, such as USD")
    return value


def country(name: str, default: str) -> str:
    value = env.str(name, default)
    if not re.fullmatch("[A-Z]{2}", value):
        raise _refused(name, value, "is no country of two capital letters, such as US")
    return value


def time_zone(name: str, default: str) -> str:
    value = env.str(name, default)
    try:
        return ZoneInfo(value).key
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:  # a folder is no file
        raise _refused(name, value, "is no time zone, such as America/Phoenix") from error


def folder(name: str, default: Path) -> Path:
    """Return the folder, made where it is missing."""
    path = Path(env.str(name, "") or default)
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _refused(name, str(path), f"cannot be used: {error.strerror}") from error
    return path


def address(name: str, default: str, *, schemes: Collection[str]) -> str:
    """Return an address that begins with one of the schemes, or the default, which may be none."""
    value = env.str(name, "") or default
    if value:
        _split(name, value, schemes)
    return value


def database(name: str, default: str) -> dict[str, Any]:
    return _read(name, default, DATABASES, env.db_url_config)


def mail_server(name: str) -> dict[str, Any]:
    """Return Django's settings of a mail server; none where none is named."""
    return _read(name, "", MAIL_SERVERS, env.email_url_config)


def _read(
    name: str, default: str, schemes: Collection[str], read: Callable[[str], dict[str, Any]]
) -> dict[str, Any]:
    value = address(name, default, schemes=schemes)
    return dict(read(value)) if value else {}


def _split(name: str, value: str, schemes: Collection[str]) -> SplitResult:
    try:
        parts = urlsplit(value)
        parts.port  # noqa: B018  # reads it: raises where it is no number
    except ValueError as error:
        why = "is its port a number, and its password percent-encoded?"
        raise ImproperlyConfigured(f"{name}: the address cannot be read; {why}") from error
    if parts.scheme not in schemes or "://" not in value:
        known = " or ".join(f"{scheme}://" for scheme in schemes)
        raise ImproperlyConfigured(f"{name}: the address must begin with {known}.")
    if not (parts.hostname or parts.path.strip("/")):
        raise ImproperlyConfigured(f"{name}: the address names no place.")
    return parts


def _refused(name: str, value: str, why: str) -> ImproperlyConfigured:
    return ImproperlyConfigured(f"{name}: “{value}” {why}.")
