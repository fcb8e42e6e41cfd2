"""The office's whole way in a browser: enquiry, offer, agreement, deposit, visit."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page

from jobs.models import Booking, Job
from tests.browser.pages import axe, photograph, spills
from tests.factories import make_crew, make_price_book

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def enquire(page: Page) -> None:
    page.get_by_role("link", name="Take an enquiry").click()
    page.get_by_label("What they asked for").fill("Two in the bath.")
    page.get_by_label("Name", exact=True).fill("Ada Quill")
    page.get_by_label("Telephone optional", exact=True).fill("602-555-0123")
    page.locator("[name=household-mail]").fill("ada@example.com")
    page.locator("[name=consent-mail]").check()
    page.locator("[name=consent-how]").fill("told us by phone")
    page.locator("[name=home-street]").fill("14 Juniper Bend")
    page.locator("[name=home-city]").fill("Mesquite Flat")
    page.get_by_role("button", name="Open the job").click()


def offer(page: Page) -> None:
    page.get_by_role("button", name="Make an offer").click()
    page.locator("[name=lines-0-code]").select_option("strip-glass")
    page.locator("[name=lines-0-quantity]").fill("160.5")
    page.get_by_role("button", name="Save the lines").click()
    page.get_by_role("button", name="Send the offer").click()


def agree_and_pay(page: Page) -> None:
    page.get_by_label("How", exact=True).select_option("office")
    page.get_by_role("button", name="Record the agreement").click()
    page.get_by_text("Record a payment").click()
    page.locator("[name=amount]").fill("1000")
    page.get_by_role("button", name="Keep the payment").click()


def book(page: Page, day: str) -> None:
    page.get_by_role("link", name="Book the fitting").click()
    page.get_by_label("Crew", exact=True).select_option("North crew")
    page.get_by_label("Day", exact=True).fill(day)
    page.get_by_role("button", name="Book it").click()


def faults(page: Page) -> list[str]:
    return [*axe(page), *(["wider than its window"] if spills(page) > 0 else [])]


def test_office_books_an_install(open_page: Callable[..., Page]) -> None:
    crew = make_crew(name="North crew")
    make_price_book()
    day = timezone.localdate() + timedelta(days=2)
    wrong: dict[str, list[str]] = {}

    page = open_page("/tray/", role="office")
    for name, step in (("enquiry", enquire), ("offer", offer), ("payment", agree_and_pay)):
        step(page)
        photograph(page, f"office-{name}")
        wrong[name] = faults(page)
    paid = page.inner_text("#payments ~ table")
    book(page, day.isoformat())
    photograph(page, "office-diary")
    wrong["diary"] = faults(page)
    said = page.inner_text("main")

    job, visit = Job.objects.get(), Booking.objects.get()
    assert wrong == {"enquiry": [], "offer": [], "payment": [], "diary": []}
    assert "$2,852.00" in paid
    assert "Booked: fitting at 14 Juniper Bend" in said
    assert (job.stage, visit.crew, visit.job) == ("booked", crew, job)
    assert visit.starts_at.astimezone(job.home.tz).date() == day
