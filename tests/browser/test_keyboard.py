"""The whole way from the sign-in to a booked visit without touching a mouse."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.utils.timezone import localdate
from playwright.sync_api import Page

from customers.actions.finding import keep_words_of_all
from jobs.models import Booking
from tests.browser.pages import words
from tests.factories import make_crew, make_home, make_job, make_user

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.parametrize("size", ["desk"]),
]
FARTHEST = 80
NAME = """() => {
    const at = document.activeElement;
    const label = at.labels && at.labels.length ? at.labels[0].innerText : "";
    return (label || at.innerText || at.getAttribute("aria-label") || "").trim();
}"""
OUTLINED = """() => {
    const style = getComputedStyle(document.activeElement);
    return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
}"""


def tab_to(page: Page, name: str) -> None:
    """Press Tab until what is named so has the focus, and see that one can see it."""
    for _ in range(FARTHEST):
        page.keyboard.press("Tab")
        if page.evaluate(NAME).startswith(name):
            assert page.evaluate(OUTLINED), f"no outline round {name}"
            return
    pytest.fail(f"Tab does not come to {name} on {page.url}")


def press(page: Page, name: str) -> None:
    """Go to a link or button by Tab and press Enter there."""
    tab_to(page, name)
    with page.expect_navigation():
        page.keyboard.press("Enter")


def sign_in_by_keys(page: Page) -> None:
    tab_to(page, "Login")
    page.keyboard.type("office")
    tab_to(page, "Password")
    page.keyboard.type("a ring without a gap")
    with page.expect_navigation():
        page.keyboard.press("Enter")


def find_by_keys(page: Page, words: str) -> None:
    page.keyboard.press("/")
    page.keyboard.type(words)
    with page.expect_navigation():
        page.keyboard.press("Enter")


def book_by_keys(page: Page, day: date) -> None:
    press(page, "Book the measuring")
    tab_to(page, "Crew")
    page.keyboard.type("North")
    tab_to(page, "Day")
    page.keyboard.type(f"{day:%m%d%Y}")
    press(page, "Book it")


def test_signs_in_finds_a_home_and_books_a_visit(open_page: Callable[..., Page]) -> None:
    make_user(role="office")
    make_crew(name="North crew")
    home = make_home(street="14 Juniper Bend")
    keep_words_of_all(homes=[home, make_home(street="9 Far End")])
    job = make_job(home=home)
    day = localdate() + timedelta(days=3)
    page = open_page("/")

    page.keyboard.press("Tab")
    skips = page.evaluate(NAME)
    sign_in_by_keys(page)
    find_by_keys(page, "juniper")  # the only one: its sheet opens
    press(page, f"Job {job.number}")
    book_by_keys(page, day)

    visit = Booking.objects.get()
    assert skips == "Skip to the content"
    assert "Booked: measure at 14 Juniper Bend" in words(page)
    assert (visit.job, visit.starts_at.astimezone(visit.home.tz).date()) == (job, day)
