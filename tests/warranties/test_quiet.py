"""Quiet hours by the clock of the home: ../shared/standards/law.md 5.5, M-17 to M-21."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from warranties.quiet import allowed, next_allowed

PHOENIX, ANGELES, DENVER, NEW_YORK = (
    ZoneInfo(f"America/{name}") for name in ("Phoenix", "Los_Angeles", "Denver", "New_York")
)


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@pytest.mark.parametrize(
    ("moment", "zone", "may"),
    [
        ("2026-11-25T14:59:59", PHOENIX, False),
        ("2026-11-25T15:00:00", PHOENIX, True),
        ("2026-11-26T03:59:59", PHOENIX, True),
        ("2026-11-26T04:00:00", PHOENIX, False),
        ("2026-07-01T14:59:59", PHOENIX, False),
        ("2026-07-01T14:59:59", ANGELES, False),
        ("2026-07-01T14:59:59", DENVER, True),
        ("2026-11-26T03:30:00", PHOENIX, True),
        ("2026-11-26T03:30:00", NEW_YORK, False),
    ],
)
def test_published_moments(moment: str, zone: ZoneInfo, may: bool) -> None:
    assert allowed(at(moment), [zone]) is may


def test_where_the_zone_is_unknown_all_must_allow() -> None:
    both = [PHOENIX, NEW_YORK]

    assert not allowed(at("2026-11-26T03:30:00"), both)
    assert next_allowed(at("2026-11-26T03:30:00"), both) == at("2026-11-26T15:00:00")


def test_what_is_allowed_is_not_put_off() -> None:
    noon = at("2026-03-02T19:00:00")

    assert next_allowed(noon, [PHOENIX]) == noon


def test_a_firm_may_keep_sundays_quiet() -> None:
    saturday_night = at("2026-03-01T04:30:00")  # 21:30 on Saturday in Phoenix

    assert next_allowed(saturday_night, [PHOENIX]) == at("2026-03-01T15:00:00")
    assert next_allowed(saturday_night, [PHOENIX], sundays=False) == at("2026-03-02T15:00:00")


def test_the_morning_is_that_of_the_clock_when_it_is_put_forward() -> None:
    """8 March 2026, New York: clocks go from EST to EDT at 2:00."""
    assert next_allowed(at("2026-03-08T04:00:00"), [NEW_YORK]) == at("2026-03-08T12:00:00")


def test_zones_without_a_common_hour_are_refused() -> None:
    thirds = [ZoneInfo(f"Etc/GMT{hours}") for hours in ("+8", "", "-8")]

    with pytest.raises(ValueError, match="no hour"):
        next_allowed(at("2026-03-02T19:00:00"), thirds)
