"""Processor time of other processes: what else runs on the machine blurs it least."""

import os
from collections.abc import Iterator
from pathlib import Path

TICKS = os.sysconf("SC_CLK_TCK")


def seconds_of(number: int) -> float:
    """Processor time of a process and of its children that have ended, 0 where there is none."""
    try:
        fields = Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return 0.0
    return sum(map(int, fields[11:15])) / TICKS


def seconds_of_tree(number: int) -> float:
    """The same of a process and all below it."""
    return seconds_of(number) + sum(map(seconds_of_tree, children(number)))


def children(number: int) -> Iterator[int]:
    for thread in Path(f"/proc/{number}/task").glob("*/children"):
        yield from map(int, thread.read_text().split())
