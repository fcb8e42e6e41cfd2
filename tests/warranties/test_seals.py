"""Due days of seal checks."""

from datetime import date
from itertools import islice, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import chdtri

from warranties.seals import (
    ENOUGH,
    Seen,
    Step,
    add_months,
    chance_of_so_many,
    due_days,
    next_due,
    risk_ratio,
    step_for,
)

FIRM = Seen(openings=40, seal_years=2000)


@pytest.mark.parametrize(
    ("sealed_on", "step_months", "days"),
    [
        (date(2026, 3, 2), 12, ["2026-04-01", "2027-03-02", "2028-03-02", "2029-03-02"]),
        (
            date(2024, 2, 29),
            12,
            ["2024-03-30", "2025-02-28", "2026-02-28", "2027-02-28", "2028-02-29"],
        ),
        (date(2026, 8, 31), 6, ["2026-09-30", "2027-02-28", "2027-08-31", "2028-02-29"]),
        (date(2026, 1, 1), 1, ["2026-01-31", "2026-02-01", "2026-03-01"]),
        (date(2026, 2, 1), 1, ["2026-03-03", "2026-04-01"]),
    ],
    ids=["yearly", "leap day", "month end", "monthly", "a short first month"],
)
def test_due_days(sealed_on: date, step_months: int, days: list[str]) -> None:
    found = list(islice(due_days(sealed_on, step_months=step_months), len(days)))
    assert [day.isoformat() for day in found] == days


@given(st.dates(date(2000, 1, 1), date(2100, 1, 1)), st.integers(1, 12))
def test_due_days_go_forward_and_never_skip_a_step(sealed_on: date, step_months: int) -> None:
    days = list(islice(due_days(sealed_on, step_months=step_months), 12))

    gaps = [(later - day).days for day, later in pairwise(days)]

    assert min(gaps) >= 1
    assert max(gaps) <= 31 * step_months + 1


@pytest.mark.parametrize(
    ("checked_on", "due"),
    [
        (None, date(2026, 4, 1)),
        (date(2026, 3, 10), date(2026, 4, 1)),
        (date(2026, 3, 30), date(2027, 3, 2)),
        (date(2026, 9, 1), date(2027, 3, 2)),
        (date(2027, 2, 25), date(2028, 3, 2)),
        (date(2027, 3, 20), date(2028, 3, 2)),
    ],
    ids=["never", "too early to count", "early", "late", "a week before the year", "after it"],
)
def test_next_due(checked_on: date | None, due: date) -> None:
    assert next_due(date(2026, 3, 2), checked_on=checked_on) == due


def test_a_step_of_no_months_is_refused() -> None:
    with pytest.raises(ValueError, match="at least a month"):
        next_due(date(2026, 3, 2), step_months=0)


def test_add_months_over_the_year() -> None:
    assert add_months(date(2026, 11, 30), 3) == date(2027, 2, 28)


def test_a_group_like_the_firm_keeps_the_year() -> None:
    assert step_for({"stucco": Seen(4, 200)}, FIRM) == Step(12)


def test_the_worst_group_shortens_the_step() -> None:
    # 10 expected of the firm's rate would be 1: (10 + 2) / (1 + 2) is four times.
    groups = {"stucco": Seen(4, 200), "lot B12": Seen(10, 50)}

    assert step_for(groups, FIRM) == Step(3, "lot B12", 4.0)


def test_little_seen_changes_little() -> None:
    assert risk_ratio(Seen(1, 2), FIRM) == pytest.approx(3 / 2.04)
    assert risk_ratio(Seen(0, 0), FIRM) == 1


def test_a_better_group_is_still_checked_yearly() -> None:
    assert step_for({"brick": Seen(0, 1000)}, FIRM) == Step(12)


def test_without_figures_the_calendar_holds() -> None:
    assert step_for({}, Seen(0, 0)) == Step(12)
    assert step_for({"lot A": Seen(3, 1)}, Seen(0, 0)) == Step(12)


def test_the_calendar_stands_until_the_firms_own_rate_is_known_to_a_factor_of_two() -> None:
    """Garwood's exact limits: half a chi-square quantile of 2n and of 2n + 2 degrees."""
    known = [
        n
        for n in range(1, 40)
        if chdtri(2 * n, 0.975) / 2 >= n / 2 and chdtri(2 * n + 2, 0.025) / 2 <= 2 * n
    ]
    bad = {"lot B12": Seen(10, 50)}

    assert known == list(range(ENOUGH, 40))
    assert step_for(bad, Seen(ENOUGH - 1, 2000)) == Step(12)
    assert step_for(bad, Seen(ENOUGH, 2000)).because == "lot B12"


def test_a_step_is_never_under_a_month() -> None:
    assert step_for({"lot X": Seen(500, 1)}, FIRM).months == 1


def test_chance_of_so_many() -> None:
    # Two of two in half of the seal-years: a half squared.
    assert chance_of_so_many(Seen(2, 10), Seen(0, 10)) == pytest.approx(0.25)
    assert chance_of_so_many(Seen(0, 10), Seen(9, 10)) == 1
