"""A house walked in the plan editor, its sheet and papers, and a connection that is lost."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest
from playwright.sync_api import Page, expect

from customers.actions import planning
from customers.models import Home
from tests.browser.pages import axe, photograph, spills
from tests.customers.plan.houses import feature, house, leg
from tests.factories import make_home, make_plan, make_plant, make_price_book, make_watch

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
OpenPage = Callable[..., Page]


def assert_sound(page: Page, name: str) -> None:
    assert axe(page) == []
    assert spills(page) <= 0
    photograph(page, name)


def address(home: Home, panel: str) -> str:
    return f"/homes/{home.pk}/plan/{panel}/"


def test_legs_are_typed_one_after_the_other(open_page: OpenPage) -> None:
    home = make_home()
    page = open_page(address(home, "new-leg"), role="tech")

    for number, length in enumerate(("20", "12-6", "6.096 m", "12' 6\""), start=1):
        page.fill("[name=length]", length)
        page.keyboard.press("Enter")
        expect(page.locator(".walk > li")).to_have_count(number)
        expect(page.locator("[name=length]")).to_be_focused()

    expect(page.locator(".editor-state")).to_contain_text("4 legs, 65' 0\" round")
    expect(page.locator(".editor-state")).to_contain_text("Closes.")
    assert_sound(page, "plan-editor-legs")


def test_a_refusal_is_shown_with_what_was_typed(open_page: OpenPage) -> None:
    home = make_home()
    make_plan(home=home, document=house())
    page = open_page(address(home, "new-feature"), role="tech")

    page.select_option("[name=kind]", "plant on the ground")
    page.fill("[name=at]", "12 cubits")
    page.get_by_role("button", name="Keep").click()

    expect(page.locator("#plan_at_error")).to_contain_text("cannot be read")
    expect(page.locator("[name=at]")).to_have_value("12 cubits")
    assert_sound(page, "plan-editor-refusal")


@pytest.mark.parametrize("size", ["phone"])
def test_a_lost_connection_keeps_what_was_typed(open_page: OpenPage) -> None:
    home = make_home()
    make_plan(home=home, document=house())
    # A page of its own: what htmx logs of the lost connection is no trouble here.
    page = open_page("/account/login/", role="tech").context.new_page()
    page.goto(address(home, "new-feature"))

    page.select_option("[name=kind]", "pipe")
    page.fill("[name=at]", "9-9")
    page.context.set_offline(True)
    page.get_by_role("button", name="Keep").click()
    expect(page.locator("#unsaved")).to_contain_text("No connection: nothing was saved.")
    expect(page.locator("[name=at]")).to_have_value("9-9")
    page.context.set_offline(False)
    page.get_by_role("button", name="Keep").click()

    expect(page.locator("[role=status]")).to_contain_text("Kept: pipe 1 added.")
    assert len(planning.standing(home).document.features) == 1


def test_sheet_paper_and_comparison_are_sound(open_page: OpenPage) -> None:
    home = make_home(street="14 Juniper Bend")
    make_price_book()
    lantana = feature(
        "plant-1", "plant on the ground", name="lantana", leg="leg-4", clearance_mm=Decimal(305)
    )
    fitted = house(lantana, feature("pipe-1", "pipe", name="hose bib"))
    make_plan(home=home, document=replace(fitted, features=()), stage="surveyed")
    make_plan(home=home, document=fitted, stage="fitted")
    bare = leg(2, 8_000, strip="")
    make_plan(home=home, document=house(*fitted.features, legs=(bare,)), stage="today")
    make_watch(plant=make_plant(home=home, mark="plant-1", place="at leg 4"), promised=False)

    page = open_page(home.get_absolute_url(), role="office")
    assert_sound(page, "home-sheet-with-plan")
    page.goto(f"/homes/{home.pk}/plans/today/")
    assert_sound(page, "plan-paper")
    page.goto(f"/homes/{home.pk}/plans/")
    assert_sound(page, "plans-compared")
