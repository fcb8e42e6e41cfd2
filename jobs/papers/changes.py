"""What is no longer as a household was shown it, each in a sentence that it can read."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils.translation import get_language
from django.utils.translation import gettext as _

from shared.days import day_said
from shared.firm import money_said

Facts = dict[str, Any]
SUMS = ("total", "deposit")


def changes(before: Facts, now: Facts) -> list[str]:
    """Return what changed, in the language that is active; nothing where nothing did."""
    return [
        *_lines(before["lines"], now["lines"]),
        *_sums(before, now),
        *_rest(before, now),
    ]


def _lines(before: list[Facts], now: list[Facts]) -> Iterator[str]:
    """Lines are told apart by their words."""
    was = {line["text"]: line for line in before}
    is_now = {line["text"]: line for line in now}
    for text in was.keys() - is_now.keys():
        yield _("“%(line)s” is left out.") % {"line": text}
    for text, line in is_now.items():
        if text not in was:
            yield _("“%(line)s” is new: %(amount)s.") % {
                "line": text,
                "amount": _money(line["amount"]),
            }
        elif line != was[text]:
            facts = {"line": text, "before": _priced(was[text]), "now": _priced(line)}
            yield _("“%(line)s” was %(before)s and is now %(now)s.") % facts


def _sums(before: Facts, now: Facts) -> Iterator[str]:
    names = {"total": _("The total"), "deposit": _("The deposit")}
    for name in SUMS:
        if before[name] != now[name]:
            facts = {
                "sum": names[name],
                "before": _money(before[name]),
                "now": _money(now[name]),
            }
            yield _("%(sum)s was %(before)s and is now %(now)s.") % facts


def _rest(before: Facts, now: Facts) -> Iterator[str]:
    if before["terms"] != now["terms"]:
        yield _("The warranty has changed.")
    if before["valid_until"] != now["valid_until"]:
        day = day_said(date.fromisoformat(now["valid_until"]), get_language() or "en")
        yield _("The offer is now valid until %(day)s.") % {"day": day}
    if before["note"] != now["note"]:
        yield _("The note has changed.")
    told = ("lines", "terms", "valid_until", "note", "tax", "rest", *SUMS)
    if any(before.get(name) != now.get(name) for name in now.keys() - set(told)):
        yield _("Names, addresses or the language have changed.")


def _priced(line: Facts) -> str:
    return f"{line['measure']}, {_money(line['amount'])}"


def _money(amount: str) -> str:
    return money_said(Decimal(amount), get_language() or "en")
