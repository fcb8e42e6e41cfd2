"""Which notices go out as one message, and in which order its parts stand.

Definition. What waits at the same time for one household over one channel goes out as one message,
whatever its homes and occasions: after an outage, a night, or a week between two print runs comes
one, never a burst. Its parts stand by urgency: visits first, then what grows towards the wall, then
checks, then what is only good to know; within one kind what is due first, then what is older.

Some go by themselves, each for its reason in ALONE. A notice is late when its hour passed longer
ago than LATE: nights, Sundays and tries put the hour off, so only an outage leaves it standing.
Source: law.md 4.3 and 5.2 in ../shared/standards; the order is ours.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, timedelta
from typing import NamedTuple

LATE = timedelta(days=1)
BY_URGENCY = (
    "visit-tomorrow",
    "visit-cancelled",
    "visit-booked",
    "trim-back",
    "seal-check",
    "visit-report",
    "season",
)
ALONE = {
    "recall": "A danger is not buried, and its letter is owed by itself: 15 USC 7003(b)(2)(D).",
    "visit-on-the-way": "It is true for minutes only and waits for nothing.",
    "offer": "It sells, and nothing that sells stands in a warranty message: 16 CFR 316.3.",
    "receipt": "A paper about money, to be filed by itself.",
    "balance": "A paper about money, to be filed by itself.",
    "agreement": "A paper owed in writing, its enclosure with it: 16 CFR 429.1.",
    "offer-paper": "A paper to be signed and returned: 16 CFR 429.1.",
    "certificate": "A paper owed in writing, its enclosure with it: 16 CFR 701.3.",
    "transfer": "Its link signs for one owner.",
    "promise-rests": "It says that the promise rests, and is the proof that they were told.",
    "promise-again": "A paper about the promise, to be filed by itself.",
    "promise-ended": "A paper about the promise, to be filed by itself.",
}


class Waiting(NamedTuple):
    """A notice that waits: its key and what decides with which others it goes."""

    key: int
    household: int
    channel: str
    kind: str


def messages(waiting: Iterable[Waiting]) -> list[list[int]]:
    """Return the keys of the notices that go out together, for every message of several.

    The first of each carries the others: the one that waits longest, so that it stays the same
    when more join it.
    """
    together: dict[tuple[int, str], list[int]] = defaultdict(list)
    for each in waiting:
        if each.kind in BY_URGENCY:
            together[each.household, each.channel].append(each.key)
    return [sorted(keys) for keys in together.values() if len(keys) > 1]


def urgency(kind: str, due_on: date | None, key: int) -> tuple[int, date, int]:
    """Return by what the parts of a message are sorted, the most urgent first."""
    rank = BY_URGENCY.index(kind) if kind in BY_URGENCY else 0
    return rank, due_on or date.max, key
