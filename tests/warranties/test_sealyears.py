"""The years of seals split by their age: small lives drawn by hand."""

import csv
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.published import shared_data
from warranties.sealyears import band_on, split


@pytest.mark.parametrize(
    ("sealed_on", "until", "days"),
    [
        # 2023 has 365 days; 2024 and 2028 have 366.
        (date(2023, 1, 1), date(2023, 7, 1), {"0-1": 181}),
        (date(2023, 1, 1), date(2024, 1, 1), {"0-1": 365}),
        (date(2023, 1, 1), date(2024, 1, 2), {"0-1": 365, "1-3": 1}),
        (date(2023, 1, 1), date(2025, 1, 1), {"0-1": 365, "1-3": 366}),
        (date(2020, 3, 2), date(2026, 3, 2), {"0-1": 365, "1-3": 730, "3-6": 1096}),
        (date(2020, 3, 2), date(2026, 3, 12), {"0-1": 365, "1-3": 730, "3-6": 1096, "6+": 10}),
        # A leap day's birthdays are 28 February, until there is a 29th again.
        (date(2024, 2, 29), date(2025, 3, 1), {"0-1": 365, "1-3": 1}),
        (date(2026, 3, 2), date(2026, 3, 2), {}),
        (date(2026, 3, 2), date(2026, 1, 1), {}),
    ],
    ids=["half a year", "a year", "a day more", "leap year", "six years", "over", "29", "0", "<0"],
)
def test_split(sealed_on: date, until: date, days: dict[str, int]) -> None:
    assert dict(split(sealed_on, until)) == days


def test_four_seals_by_hand() -> None:
    """Sealed on 1 January 2022, 2023, 2024 and 2025; the second ended after 100 days; counted on
    1 January 2026. First years: 365 + 100 + 366 + 365; second and third: 731 + 365; later: 365."""
    ends = (date(2026, 1, 1), date(2023, 4, 11), date(2026, 1, 1), date(2026, 1, 1))
    sums = dict.fromkeys(("0-1", "1-3", "3-6"), 0)
    for year, end in zip(range(2022, 2026), ends, strict=True):
        for band, days in split(date(year, 1, 1), end):
            sums[band] += days

    assert sums == {"0-1": 1196, "1-3": 1096, "3-6": 365}


@pytest.mark.parametrize(
    ("day", "band"),
    [
        (date(2020, 1, 1), "0-1"),
        (date(2021, 3, 1), "0-1"),
        (date(2021, 3, 2), "1-3"),
        (date(2023, 3, 2), "3-6"),
        (date(2026, 3, 1), "3-6"),
        (date(2026, 3, 2), "6+"),
        (date(2050, 3, 2), "6+"),
    ],
)
def test_a_birthday_belongs_to_the_older_band(day: date, band: str) -> None:
    assert band_on(date(2020, 3, 2), day) == band


@given(st.dates(date(2000, 1, 1), date(2060, 1, 1)), st.integers(0, 9_000))
def test_bands_add_up_to_the_whole(sealed_on: date, lived: int) -> None:
    until = sealed_on + timedelta(lived)

    bands = dict(split(sealed_on, until))

    assert sum(bands.values()) == lived
    assert not bands or band_on(sealed_on, until - timedelta(1)) == list(bands)[-1]


def test_valve_seats() -> None:
    """Nelson (1995): 41 engines, watched for 25,363 engine-days (statistics.md 1.1).

    Each was watched for longer than a year, so the first years hold 41 x 365 engine-days.
    """
    with shared_data("stats", "valve_seats_nelson1995.csv").open() as table:
        rows = list(csv.DictReader(table))
    lives = [int(row["days"]) for row in rows if row["replacement"] == "0"]
    start = date(2001, 1, 1)

    sums = {"0-1": 0, "1-3": 0}
    for lived in lives:
        for band, days in split(start, start + timedelta(lived)):
            sums[band] += days

    assert len(lives) == 41
    assert sums == {"0-1": 41 * 365, "1-3": 25_363 - 41 * 365}
