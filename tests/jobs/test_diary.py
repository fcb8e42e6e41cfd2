from datetime import date, datetime

import pytest

from jobs.diary import Bar, bar, days_of, monday_of, week_name

TODAY = date(2026, 3, 4)  # a Wednesday


@pytest.mark.parametrize(
    ("week", "monday"),
    [
        ("2026-W10", date(2026, 3, 2)),
        ("2026-W53", date(2026, 12, 28)),
        ("2025-W53", date(2026, 3, 2)),
        ("2026-W00", date(2026, 3, 2)),
        ("", date(2026, 3, 2)),
        ("tomorrow", date(2026, 3, 2)),
        ("0000-W10", date(2026, 3, 2)),
    ],
    ids=["a week", "the 53rd", "no 53rd", "none", "not given", "words", "no year"],
)
def test_monday_of(week: str, monday: date) -> None:
    assert monday_of(week, TODAY) == monday


def test_week_name_reads_back() -> None:
    assert week_name(date(2027, 1, 1)) == "2026-W53"
    assert monday_of(week_name(TODAY), date(2020, 1, 1)) == date(2026, 3, 2)


def test_days_run_from_monday_to_sunday() -> None:
    assert [day.isoweekday() for day in days_of(date(2026, 3, 2))] == [1, 2, 3, 4, 5, 6, 7]


@pytest.mark.parametrize(
    ("start", "end", "expected"),
    [
        ("2026-03-04T06:00", "2026-03-04T07:00", Bar(0, 4)),
        ("2026-03-04T12:15", "2026-03-04T14:00", Bar(25, 7)),
        ("2026-03-04T05:00", "2026-03-04T06:15", Bar(0, 1)),
        ("2026-03-04T19:45", "2026-03-04T23:00", Bar(55, 1)),
        ("2026-03-03T22:00", "2026-03-04T08:00", Bar(0, 8)),
        ("2026-03-03T08:00", "2026-03-05T08:00", Bar(0, 56)),
        ("2026-03-04T03:00", "2026-03-04T05:00", None),
        ("2026-03-05T08:00", "2026-03-05T09:00", None),
    ],
)
def test_bar(start: str, end: str, expected: Bar | None) -> None:
    drawn = bar(datetime.fromisoformat(start), datetime.fromisoformat(end), TODAY)

    assert drawn == expected


@pytest.mark.parametrize("week", ["0001-W01", "9999-W52", "2026-W60", "soon"])
def test_a_week_that_is_none_of_ours_is_this_one(week: str) -> None:
    assert monday_of(week, date(2026, 3, 4)) == date(2026, 3, 2)
