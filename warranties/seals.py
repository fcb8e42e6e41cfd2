"""When the seals of a strip or collar are due for a check.

Definition. The first check falls 30 days after sealing; the next ones on every anniversary of
sealing. Days are counted from sealing itself and cut to the month's end where it is short, so 31
August is 28 February half a year on and 31 August again after that; nothing slips or is skipped.
Where the firm's own figures show that seals like this one (same surface, lot, crew, exposure or
age) open more often than its seals in general, the steps are shortened by that ratio. The ratio is
shrunk towards 1 as long as little was seen: two openings' worth of "like the others" is added to
both sides, the mean of a gamma-Poisson update. Until the firm has seen ENOUGH openings in all the
calendar stands: from 12 on the exact 95 % limits of its own rate (Garwood 1936) lie within half
and twice of what was counted; with 11 they do not, and a ratio to such a rate says nothing. The
worst group decides: multiplying groups would count one bad batch once for its lot, once for its
crew and once for its wall. But the worst of many is always worse than most, and nearly every home
has walls to all four sides: so a group shortens a step only where it stands out, its openings
being hardly chance. Steps are never made longer than a year.
Sources: ../shared/standards/law.md 6.4 for month ends, statistics.md 3 for the limits; 30 days,
then yearly: the firm's calendar.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from itertools import count
from typing import Generic, NamedTuple, TypeVar

FIRST_CHECK = timedelta(days=30)
YEAR_MONTHS = 12
ENOUGH = 12  # Openings of all the firm's seals.
LIKE_THE_OTHERS = 2.0  # Openings' worth of belief that a group is no worse than the rest.
HARDLY_CHANCE = 0.01  # Our own choice: one group in a hundred stands out by chance alone.
EARLY_PART = 4  # A check counts for a due day from the last quarter of the step before it.


def add_months(day: date, months: int) -> date:
    """Return the same day so many months on, or the month's last day where there is none."""
    year, month = divmod(day.year * YEAR_MONTHS + day.month - 1 + months, YEAR_MONTHS)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def due_days(sealed_on: date, *, step_months: int = YEAR_MONTHS) -> Iterator[date]:
    """Yield the days on which checks are due, without end."""
    if step_months < 1:
        raise ValueError("checks are at least a month apart")
    first = sealed_on + FIRST_CHECK
    yield first
    for steps in count(1):
        day = add_months(sealed_on, steps * step_months)
        if day > first:
            yield day


def next_due(
    sealed_on: date, *, checked_on: date | None = None, step_months: int = YEAR_MONTHS
) -> date:
    """Return the day of the next check, which may have passed: then it is overdue.

    checked_on is the last check. One made in the last quarter of a step counts for its end.
    """
    before = sealed_on
    for day in due_days(sealed_on, step_months=step_months):
        counts_from = day - (day - before) / EARLY_PART
        if checked_on is None or checked_on < counts_from:
            return day
        before = day
    raise AssertionError("due_days has no end")


class Seen(NamedTuple):
    """What the firm saw of some seals: how often one opened, over how many seal-years.

    An opening of which nobody knows where it was is shared out, so there are parts of one.
    """

    openings: float
    seal_years: float


def risk_ratio(group: Seen, firm: Seen) -> float:
    """Return how many times as often the group's seals open as the firm's, shrunk towards 1."""
    if firm.seal_years <= 0:
        return 1.0
    expected = firm.openings * group.seal_years / firm.seal_years
    return (group.openings + LIKE_THE_OTHERS) / (expected + LIKE_THE_OTHERS)


Group = TypeVar("Group")


class Step(NamedTuple, Generic[Group]):
    """Months between checks, and the group that shortened them with its ratio, if one did."""

    months: int
    because: Group | None = None
    ratio: float = 1.0


def step_for(groups: Mapping[Group, Seen], firm: Seen) -> Step[Group]:
    """Return the step for a seal that belongs to groups, whatever they are named by.

    A year while the firm has seen fewer than ENOUGH openings.
    """
    if firm.openings < ENOUGH:
        return Step(YEAR_MONTHS)
    ratios = {group: risk_ratio(seen, firm) for group, seen in groups.items()}
    for group in sorted(ratios, key=lambda group: -ratios[group]):
        months = max(1, int(YEAR_MONTHS / ratios[group]))
        if months >= YEAR_MONTHS:
            break
        if chance_in(groups[group], firm) < HARDLY_CHANCE:
            return Step(months, group, ratios[group])
    return Step(YEAR_MONTHS)


def chance_in(group: Seen, firm: Seen) -> float:
    """Return the chance of at least so many openings in a group of the firm's, beside the rest."""
    rest = Seen(
        max(firm.openings - group.openings, 0), max(firm.seal_years - group.seal_years, 0.0)
    )
    return chance_of_so_many(group, rest)


def chance_of_so_many(group: Seen, others: Seen) -> float:
    """Return the chance of at least so many openings in the group if it were like the others.

    Exact, given the total (the conditional binomial test), as an incomplete beta function, which
    is the same for whole openings and goes smoothly from one to the next. A small one marks a lot
    for recall.
    """
    total = group.openings + others.openings
    years = group.seal_years + others.seal_years
    if group.openings == 0 or years <= 0:
        return 1.0
    from scipy.special import betainc  # noqa: PLC0415  # takes 0.1 s: only who compares waits

    rest = total - group.openings + 1
    return float(betainc(group.openings, rest, group.seal_years / years))
