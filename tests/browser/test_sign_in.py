"""Signing in with a name and a password, as a person does it."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page

from tests.browser.pages import axe, photograph, spills
from tests.factories import make_user

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("role", ["office", "tech", "owner"])
def test_each_role_comes_to_its_own_first_page(open_page: Callable[..., Page], role: str) -> None:
    make_user(role=role)
    page = open_page("/")

    page.locator("[name=login]").fill(role)
    page.locator("[name=password]").fill("a ring without a gap")
    page.locator("[name=password]").press("Enter")

    first = {"office": "/tray/", "tech": "/round/", "owner": "/ledger/"}[role]
    page.wait_for_url(f"**{first}*")


def test_the_sign_in_page_is_accessible_and_fits(open_page: Callable[..., Page]) -> None:
    page = open_page("/account/login/")

    photograph(page, "sign-in")

    assert axe(page) == []
    assert spills(page) == 0
    page.set_viewport_size({"width": 320, "height": 640})
    assert spills(page) == 0


def test_a_wrong_password_is_told_plainly(open_page: Callable[..., Page]) -> None:
    make_user(role="office")
    page = open_page("/account/login/")

    page.locator("[name=login]").fill("office")
    page.locator("[name=password]").fill("not the password")
    page.locator("[name=password]").press("Enter")

    page.get_by_text("not correct").first.wait_for()
    assert axe(page) == []
