"""What was foretold at the time, beside what came of it."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client

from tests.factories import make_plant
from warranties import growth, hindsight, trimming
from warranties.actions import watching
from warranties.growth import Reading
from warranties.models import Reading as Kept

START = date(2025, 3, 1)


def read(days: int, clearance: float | None, cut: float | None = None) -> Reading:
    return Reading(START + timedelta(days=days), clearance, cut, confirmed=True)


def test_a_cut_ends_one_growth_and_begins_the_next() -> None:
    readings = [read(0, 300), read(90, 200), read(180, 40, 300), read(300, 150)]

    assert list(hindsight.growths(readings)) == [[0, 1, 2], [2, 3]]


def test_the_day_is_settled_by_the_readings_after() -> None:
    touched = [read(0, 300), read(100, 120), read(200, 0)]
    cut_early = [read(0, 300), read(20, 280, 300)]
    unmeasured = [read(0, 300), read(200, None, 300)]

    first = next(hindsight.foretold_by_day("lantana", touched, 0.1))
    early = next(hindsight.foretold_by_day("lantana", cut_early, 0.1))
    unknown = next(hindsight.foretold_by_day("lantana", unmeasured, 0.1))

    assert first.touched_on == START + timedelta(days=150)  # between clear and touching
    assert first.came_true is (first.by >= START + timedelta(days=150))
    assert early.came_true is None  # cut before the day
    assert unknown.came_true is None


def test_the_next_reading_is_judged_by_what_was_known_before_it() -> None:
    readings = [read(0, 300), read(100, 120), read(200, 0, 300), read(250, 280)]

    found = list(hindsight.foretold_by_reading("lantana", readings))

    assert [each.came_true for each in found] == [False, True, False]
    assert [each.by for each in found] == [each.on for each in readings[1:]]
    known = growth.learn(
        readings[:2],
        trimming.prior_of("lantana"),
        trimming.season_of("lantana"),
    )
    assert found[1].chance == growth.chance_by(known, readings[2].on)


def test_a_plant_that_touches_already_foretells_nothing() -> None:
    assert not list(hindsight.foretold_by_day("lantana", [read(0, 0), read(9, 0)], 0.1))
    assert not list(hindsight.foretold_by_reading("lantana", [read(0, 0), read(9, 0)]))


@pytest.mark.django_db
def test_the_owner_sees_how_few_there_are(owner: Client) -> None:
    plant = make_plant()
    for day, clearance in ((START, 300), (START + timedelta(days=200), 0)):
        watching.keep_reading(
            reading=Kept(plant=plant, on=day, clearance_mm=Decimal(clearance), confirmed=True),
            today=date(2026, 3, 2),
        )

    said = owner.get("/forecasts/").content.decode()

    assert "Too few to tell" in said
    assert "1 of 1" in said
    assert "Brier score" in said
