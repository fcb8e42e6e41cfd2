"""What of our notices works: how many were seen and answered, and whether plants were cut in time.

Definition. A share is always hits of so many, with the exact 95 % interval of Clopper and Pearson
(warranties/calibration.py); a percentage is only said from 20 cases on. A plant that we told of is
cut in time where its next cut comes before anybody found it touching, and, where nobody measured
before the cut, by the day by which it was to be cut. It touched first where it was found touching
before, or at, that cut. Else nothing is known yet.
Source of the interval: ../shared/standards/statistics.md section 8.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Literal, NamedTuple

from warranties.calibration import Share, share

ENOUGH = 20  # Below this a percentage says more than is known.
Fate = Literal["in time", "touched", "open"]


class Told(NamedTuple):
    """How many notices of a kind, channel and reminder went out, and what came of them."""

    kind: str
    channel: str
    lead: int
    sent: int
    came_back: int
    seen: int
    answered: int


class Line(NamedTuple):
    """The same of all that share one of these."""

    name: str | int
    sent: int
    came_back: Share
    seen: Share
    answered: Share


class Look(NamedTuple):
    """A reading. `clearance_mm` is None where nobody measured before the cut."""

    on: date
    clearance_mm: float | None
    cut: bool


def lines(told: Iterable[Told], by: Literal["kind", "channel", "lead"]) -> list[Line]:
    """Return a line for every kind, channel or reminder, in the order in which they first come."""
    groups: dict[str | int, list[Told]] = {}
    for each in told:
        groups.setdefault(getattr(each, by), []).append(each)
    return [_line(name, group) for name, group in groups.items()]


def _line(name: str | int, group: Sequence[Told]) -> Line:
    sent = sum(each.sent for each in group)
    return Line(
        name,
        sent,
        share(sum(each.came_back for each in group), sent),
        share(sum(each.seen for each in group), sent),
        share(sum(each.answered for each in group), sent),
    )


def fate(told_on: date, cut_by: date, looks: Iterable[Look]) -> Fate:
    """Return what became of a plant since we told of it; `looks` in the order of their days."""
    for look in looks:
        if look.on < told_on:
            continue
        if look.clearance_mm is not None and look.clearance_mm <= 0:
            return "touched"
        if look.cut:
            known = look.clearance_mm is not None or look.on <= cut_by
            return "in time" if known else "open"
    return "open"


def cut_in_time(fates: Iterable[Fate]) -> Share:
    """Return how many were cut in time, of those of which it is known."""
    known = [each for each in fates if each != "open"]
    return share(known.count("in time"), len(known))


def said(part: Share) -> str:
    """The share in words: no percentage without its count, none at all from a few cases."""
    if not part.of:
        return "none yet"
    counted = f"{part.hits} of {part.of}"
    if part.of < ENOUGH or part.share is None:
        return f"{counted}, too few for a share"
    return f"{part.share:.0%} ({counted}; {part.low:.0%} to {part.high:.0%})"
