"""The pages where scripts are switched off: finding, forms, the plan editor."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.utils.timezone import localdate, now
from playwright.sync_api import Browser, Page
from pytest_django.live_server_helper import LiveServer

from customers.actions.finding import keep_words_of_all
from jobs.models import Booking
from tests.browser.pages import SIZES, words
from tests.factories import make_booking, make_crew, make_promise, make_user
from warranties.models import Callback

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def page(chromium: Browser, live_server: LiveServer) -> Iterator[Page]:
    context = chromium.new_context(
        base_url=live_server.url, java_script_enabled=False, **SIZES["phone"]
    )
    context.set_default_timeout(15_000)
    yield context.new_page()
    context.close()


def sign_in(page: Page, role: str) -> None:
    make_user(role=role)
    page.goto("/")
    page.locator("[name=login]").fill(role)
    page.locator("[name=password]").fill("a ring without a gap")
    page.get_by_role("button", name="Sign in").click()


def test_the_tech_arrives_logs_a_callback_and_draws_a_leg(page: Page) -> None:
    crew, promise = make_crew(), make_promise()
    crew.members.add(make_user(role="tech"))
    keep_words_of_all(homes=[promise.home])
    make_booking(crew=crew, home=promise.home, starts_at=now(), ends_at=now() + timedelta(hours=1))
    sign_in(page, "tech")

    page.get_by_role("button", name="We are here").click()
    page.get_by_role("link", name="The home's sheet").click()
    page.get_by_role("link", name="Walk round the building").click()
    page.locator("[name=length]").fill("24-6")
    page.get_by_role("button", name="Left").click()
    page.goto(f"/homes/?find={promise.home.street.replace(' ', '+')}")
    page.get_by_role("link", name="Log a callback").click()
    page.get_by_label("What the household says").fill("One in the bath.")
    page.get_by_role("button", name="Log this callback").click()

    assert Booking.objects.get().arrived_at is not None
    assert promise.home.plans.get().document["walks"][0]["legs"]
    assert Callback.objects.get().report == "One in the bath."


def test_the_office_takes_an_enquiry_and_books(page: Page) -> None:
    make_crew(name="North crew")
    sign_in(page, "office")

    page.get_by_role("link", name="Take an enquiry").click()
    page.get_by_label("What they asked for").fill("Two in the bath.")
    page.get_by_label("Name", exact=True).fill("Ada Quill")
    page.locator("[name=household-phone]").fill("602-555-0123")
    page.locator("[name=consent-how]").fill("told us by phone")
    page.locator("[name=home-street]").fill("14 Juniper Bend")
    page.locator("[name=home-city]").fill("Mesquite Flat")
    page.get_by_role("button", name="Open the job").click()
    page.get_by_role("link", name="Book the measuring").click()
    page.get_by_label("Crew", exact=True).select_option("North crew")
    page.get_by_label("Day", exact=True).fill((localdate() + timedelta(days=3)).isoformat())
    page.get_by_role("button", name="Book it").click()

    assert "Booked: measure at 14 Juniper Bend" in words(page)
