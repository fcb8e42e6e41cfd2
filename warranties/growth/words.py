"""A forecast in one plain sentence.

Definition. The outlook is what can be said of an interval on a given day: the plant touches now;
it will hardly ever; it may from a day on; it may any day now; or it is likely to between two days.
Pages in another language put their own sentence to the same outlook.
"""

from __future__ import annotations

from datetime import date
from typing import Literal, NamedTuple

Case = Literal["touching", "overdue", "any day", "between", "after", "hardly ever"]


class Outlook(NamedTuple):
    """Which sentence applies, and its days: low and high where the case names them."""

    case: Case
    low: date | None
    high: date | None


def outlook(low: date | None, high: date | None, *, today: date, touching: bool = False) -> Outlook:
    """Return what can be said today of an interval; a missing day is "never"."""
    if touching:
        return Outlook("touching", low, high)
    if low is None:
        return Outlook("hardly ever", None, None)
    if high is None:
        return Outlook("after" if low > today else "any day", low, None)
    if high <= today:
        return Outlook("overdue", low, high)
    return Outlook("between" if low > today else "any day", low, high)


def sentence(
    found: Outlook, *, plant: str, surface: str = "wall", opens: bool = False, today: date
) -> str:
    """Return the outlook in words: plant as in "The lantana at leg 4", surface as in "wall".

    opens says it of the ring, named in the sentence before: the plant opens it.
    """
    act, thing = ("open", "it") if opens else ("touch", f"the {surface}")
    touch = f"{act} {thing}"
    low = _day(found.low, today)
    high = _day(found.high, today)
    match found.case:
        case "touching":
            return f"{plant} {act}{'s' if opens else 'es'} {thing}."
        case "hardly ever":
            return f"{plant} is not likely ever to {touch}."
        case "overdue":
            return f"{plant} has probably {act}ed {thing} since {high}."
        case "any day":
            return f"{plant} may {touch} any day now" + (
                f" and is likely to by {high}." if found.high else "."
            )
        case "after":
            return f"{plant} may {touch} from {low} on."
        case "between":
            return f"{plant} is likely to {touch} {_span(found.low, found.high, today)}."


def _day(day: date | None, today: date) -> str:
    """Return "12 April", with the year where it is not this one."""
    if day is None:
        return "some day"
    return f"{day.day} {day:%B}" + (f" {day.year}" if day.year != today.year else "")


def _span(low: date | None, high: date | None, today: date) -> str:
    if low is None or high is None:
        raise ValueError("a span has two ends")
    if low == high:
        return f"on {_day(low, today)}"
    if low.year == high.year:
        first = str(low.day) if low.month == high.month else f"{low.day} {low:%B}"
        return f"between {first} and {_day(high, today)}"
    return f"between {low.day} {low:%B %Y} and {high.day} {high:%B %Y}"
