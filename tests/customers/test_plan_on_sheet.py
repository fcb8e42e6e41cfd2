"""The plan on the home sheet: drawing, ring in a sentence, ways in, closing and its price."""

import re
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from html import unescape

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from customers import drawn
from customers.models import Home
from customers.plan.document import PlanDocument
from tests.customers.plan.houses import feature, house, leg
from tests.factories import (
    NOON,
    TODAY,
    make_home,
    make_plan,
    make_plant,
    make_price_book,
    make_watch,
)
from warranties.models import Watch

FOOT = Decimal("304.8")


def said(page: str) -> str:
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", "", page)))


@pytest.fixture(autouse=True)
def at_noon() -> object:
    with time_machine.travel(NOON, tick=False) as clock:
        yield clock


def sheet(client: Client, home: Home) -> str:
    return client.get(home.get_absolute_url()).content.decode()


def lantana(document: PlanDocument) -> PlanDocument:
    """The plan with a lantana that stands a foot off leg 4."""
    plant = feature("plant-1", "plant on the ground", leg="leg-4", clearance_mm=FOOT)
    return replace(document, features=(*document.features, plant))


def watched(home: Home, **fields: object) -> Watch:
    plant = make_plant(home=home, mark="plant-1", place="at leg 4")
    return make_watch(plant=plant, promised=False, **fields)


def test_a_closed_ring_is_said_and_drawn(office: Client) -> None:
    home = make_home()
    make_plan(home=home, document=house())

    page = sheet(office, home)

    assert "Closed. Nothing can crawl in" in said(page)
    assert page.count('<svg xmlns="http://www.w3.org/2000/svg" class="plan"') == 1
    assert "<desc>The ring is closed. House: 4 legs" in page
    assert "The plan in words" in page


def test_says_which_plant_will_open_it_and_when(office: Client) -> None:
    home = make_home()
    make_plan(home=home, document=lantana(house()))
    watched(home, earliest_on=date(2026, 4, 12), latest_on=date(2026, 4, 30))

    page = said(sheet(office, home))

    assert "Closed. The lantana at leg 4 is likely to open it between 12 and 30 April." in page
    assert "The lantana at leg 4 is likely to touch the wall between 12 and 30 April." in page


def test_a_plant_that_grew_back_has_opened_the_ring(office: Client) -> None:
    """The plan still says a foot, as surveyed; the forecast says that it touches by now."""
    home = make_home()
    make_plan(home=home, document=lantana(house()))
    watched(home, read_on=TODAY - timedelta(days=900), clearance_mm=50.0, rate_mm=700.0)

    page = said(sheet(office, home))

    assert "Probably open: there is one way in: ground > plant 1 > building." in page
    assert "as last measured it was closed" in page


def test_an_open_ring_lists_the_ways_in_and_the_price_of_closing(office: Client) -> None:
    """By hand: leg 2 is 20 ft at 24.00 a foot, 480.00; one collar at 45.00; 525.00 in all."""
    home = make_home()
    make_price_book()
    pipe = feature("pipe-1", "pipe", name="hose bib")
    bare = house(pipe, legs=(leg(2, "6096", strip=""), leg(4, "6096")))
    make_plan(home=home, document=bare)

    page = sheet(office, home)

    text = said(page)
    assert "Open: there are 2 ways in, the shortest: ground > building at leg 2." in text
    listed = text[text.index("Ways in, shortest first") :]
    assert listed.index("building at leg 2") < listed.index("ground > hose bib > building")
    assert "$525.00 by the price book in force" in text
    assert (
        "A glass strip bonded along the wall between ground and building at leg 2: $480.00" in text
    )
    assert "A slick ring of PTFE between" in text
    assert "flat, sound face" in text


def test_a_trim_back_costs_nothing_where_the_book_does_not_sell_it(office: Client) -> None:
    home = make_home()
    make_price_book()
    make_plan(home=home, document=house(feature("plant-1", "plant on the ground")))

    assert "The plant cut until it clears between plant 1 and building: $0.00" in said(
        sheet(office, home)
    )


def test_a_door_without_a_width_is_named_and_kept_out_of_the_sum(office: Client) -> None:
    home = make_home()
    make_price_book()
    low = {"sill_mm": Decimal(20), "at_mm": Decimal(2000)}
    door = feature("door-1", "sliding door", width_mm=Decimal(0), **low)
    make_plan(home=home, document=house(door, feature("pipe-1", "pipe", name="hose bib")))

    page = said(sheet(office, home))

    assert "$45.00 by the price book in force, before tax: Not the whole sum: what has" in page
    assert "at door 1: width not measured" in page
    assert "$0.00" not in page


def test_a_plant_that_touches_and_is_not_in_the_plan_opens_the_ring(office: Client) -> None:
    home = make_home()
    watched(home, touching=True)
    unwalked = said(sheet(office, home))
    make_plan(home=home, document=house())

    page = said(sheet(office, home))

    for each in (unwalked, page):
        assert "Open: The lantana at leg 4 touches the wall. It does not stand in the plan" in each
    assert "Closed." not in page


def test_without_prices_it_says_that_nothing_can_close_it(office: Client) -> None:
    home = make_home()
    make_plan(home=home, document=house(legs=(leg(2, 8_000, strip=""),)))

    assert "Nothing can close it as things stand" in said(sheet(office, home))


def test_a_plan_with_problems_is_never_called_closed(office: Client) -> None:
    home = make_home()
    make_plan(home=home, document=house(legs=(leg(2, 9_000),)))

    page = said(sheet(office, home))

    assert "Not closed: the plan has" in page
    assert "Closed." not in page
    assert "The walk ends 3' 3 3/8\" from where it began" in page


def test_what_nobody_looked_at_is_called_not_known(office: Client) -> None:
    home = make_home()
    make_plan(home=home, document=house(legs=(leg(2, 8_000, strip_state="unknown"),)))

    assert "Not known: what was not looked at counts as open." in said(sheet(office, home))


def test_a_plan_that_cannot_be_read_says_where(office: Client) -> None:
    home = make_home()
    plan = make_plan(home=home, document=house())
    plan.document["schema"] = 99
    plan.save()

    page = said(sheet(office, home))

    assert "the plan cannot be read" in page
    assert "schema 1, not 99" in page


def test_the_plan_of_today_stands_before_the_older_ones(office: Client) -> None:
    home = make_home()
    for stage in ("surveyed", "today", "fitted"):
        make_plan(home=home, document=house(), stage=stage)

    plan = drawn.current_plan(home)

    assert plan is not None
    assert plan.stage == "today"


def home_with_plants(count: int) -> Home:
    home = make_home()
    marks = [f"plant-{number}" for number in range(1, count + 1)]
    plants = (feature(each, "plant on the ground", clearance_mm=FOOT) for each in marks)
    make_plan(home=home, document=house(*plants))
    for each in marks:
        make_watch(plant=make_plant(home=home, mark=each), promised=False)
    return home


def test_the_sheet_asks_as_often_for_many_plants_as_for_one(office: Client) -> None:
    make_price_book()
    one, many = home_with_plants(1), home_with_plants(5)
    sheet(office, one)

    with CaptureQueriesContext(connection) as for_one:
        sheet(office, one)
    with CaptureQueriesContext(connection) as for_many:
        page = sheet(office, many)

    assert page.count("to touch the wall") == 5
    assert len(for_many) == len(for_one) <= 20
