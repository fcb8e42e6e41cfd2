"""Delivery failures of many mail systems, read as others read them.

Samples and readings: the set of emails of sisimai (BSD-2-Clause) and the tests of flufl.bounce
(Apache-2.0). Where the two readings of "hard" differ, the mail says "user unknown" or a mailbox is
disabled, which that set files under filtering or suspension.
"""

import csv
from collections import defaultdict

import pytest

from tests.published import shared_data
from warranties import bounces
from warranties.bounces import Report

NO_BOUNCE = {"feedback", "vacation", "delivered"}
UNLIKE = {"filtered", "suspend", "mailererror", "rejected", "blocked"}


def expected() -> dict[str, list[dict[str, str]]]:
    rows: dict[str, list[dict[str, str]]] = defaultdict(list)
    with (shared_data() / "mail/sisimai_expected.csv").open() as file:
        for row in csv.DictReader(file):
            rows[row["file"]].append(row)
    return rows


def readings() -> list[tuple[list[dict[str, str]], list[Report]]]:
    """Each sample that has an expected reading, with ours."""
    rows = expected()
    paths = sorted((shared_data() / "mail/sisimai").iterdir())
    return [
        (rows[path.name], bounces.read(path.read_bytes())) for path in paths if path.name in rows
    ]


def test_finds_the_failures_and_nothing_else() -> None:
    found = readings()
    failures = [ours for rows, ours in found if rows[0]["reason"] not in NO_BOUNCE]
    others = [ours for rows, ours in found if rows[0]["reason"] in NO_BOUNCE]

    assert len(failures) > 150
    assert sum(map(bool, failures)) >= len(failures) - 2
    assert not any(others)


def test_agrees_on_status_and_fault() -> None:
    alone = [(rows[0], ours[0]) for rows, ours in readings() if len(rows) == len(ours) == 1]
    stated = [
        (row, ours)
        for row, ours in alone
        if row["dsn_status"] and row["dsn_status"].split(".")[1] != "0"
    ]
    judged = [(row, ours) for row, ours in alone if row["reason"] not in UNLIKE]

    same = sum(row["dsn_status"] == ours.status for row, ours in stated)
    assert same / len(stated) > 0.88
    hard = [ours.no_such for row, ours in judged if row["hard_bounce"] == "true"]
    soft = [ours.no_such for row, ours in judged if row["hard_bounce"] == "false"]
    assert sum(hard) / len(hard) > 0.85
    assert not any(soft)  # No address is given up that others would keep.


@pytest.mark.parametrize(
    ("folder", "least"), [("sisimai_not_bounce", 0), ("sisimai_odd", 3), ("flufl_bounce", 90)]
)
def test_reads_old_and_odd_ones_without_a_fault(folder: str, least: int) -> None:
    paths = sorted((shared_data() / "mail" / folder).iterdir())

    found = sum(bool(bounces.read(path.read_bytes())) for path in paths)

    assert found >= least
    assert folder != "sisimai_not_bounce" or found == 0
