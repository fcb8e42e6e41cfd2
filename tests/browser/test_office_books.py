"""The office's whole way in a browser: enquiry, offer, agreement, deposit, visit, confirmation."""

from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from functools import partial

import pytest
from django.utils import timezone
from playwright.sync_api import Page
from pytest_django import Settings

from jobs.actions import booking
from jobs.models import Booking, Crew, Job
from tests.browser.pages import axe, photograph, spills, words
from tests.factories import make_crew, make_home, make_price_book, make_terms
from warranties import quiet
from warranties.actions import noticing
from warranties.models import Notice

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
    """They agree at their home, now; the warranty was shown a while before."""
    address = page.url
    page.get_by_role("link", name="Paper to print and sign").click()
    code = page.locator("article").first.get_by_text("Code of this paper:").locator("strong")
    read = code.inner_text()
    page.goto(address)
    page.get_by_label("Code of the paper").fill(read)
    page.get_by_label("How", exact=True).select_option("home")
    agreed_at = page.get_by_label("When they agreed").input_value()
    page.get_by_label("When the warranty was shown").fill(f"{agreed_at[:10]}T00:00")
    page.get_by_role("button", name="Record the agreement").click()
    page.get_by_text("We told them aloud").click()
    page.get_by_role("button", name="Record the agreement").click()
    page.get_by_text("Record a payment").click()
    page.locator("[name=amount]").fill("1000")
    page.get_by_role("button", name="Keep the payment").click()


def book(page: Page, crew: str, day: date) -> None:
    page.wait_for_load_state()
    if page.get_by_role("link", name="Book the fitting").is_visible():
        page.get_by_role("link", name="Book the fitting").click()
    page.get_by_label("Crew", exact=True).select_option(crew)
    page.get_by_label("Day", exact=True).fill(day.isoformat())
    page.get_by_role("button", name="Book it").click()


def read_the_confirmation(page: Page) -> None:
    """Do what a worker does with a due notice, at the next hour at which mails may go."""
    notice = Notice.objects.get(kind="visit-booked")
    at = quiet.next_allowed(timezone.now(), [notice.home.tz], sundays=True)
    assert noticing.send(pk=notice.pk, at=at) == "sent"
    page.get_by_role("link", name="Outbox").click()
    page.locator("#mails ~ ul a").click()


def faults(page: Page) -> list[str]:
    return [*axe(page), *(["wider than its window"] if spills(page) > 0 else [])]


def test_office_books_an_install(open_page: Callable[..., Page], settings: Settings) -> None:
    settings.EMAIL_BACKEND = "shared.outbox.OutboxBackend"
    crew, busy = make_crew(name="North crew"), make_crew(name="South crew")
    make_price_book()
    make_terms()
    day = timezone.localdate() + timedelta(days=10)
    taken_from(busy, day)
    steps: dict[str, Callable[[Page], None]] = {
        "enquiry": enquire,
        "offer": offer,
        "payment": agree_and_pay,
        "clash": partial(book, crew="South crew", day=day),
        "diary": partial(book, crew="North crew", day=day),
        "mail": read_the_confirmation,
    }
    said, wrong = {}, []

    page = open_page("/tray/", role="office")
    for name, step in steps.items():
        step(page)
        photograph(page, f"office-{name}")
        wrong += faults(page)
        said[name] = words(page)

    job, visit = Job.objects.get(), Booking.objects.get(job__isnull=False)
    assert wrong == []
    assert "$2,852.00" in said["payment"]
    assert "South crew is taken: check at 9 Far End" in said["clash"]
    assert "Booked: fitting at 14 Juniper Bend" in said["diary"]
    assert all(word in said["mail"] for word in ("ada@example.com", ".ics"))
    assert (job.stage, visit.crew, visit.job) == ("booked", crew, job)
    assert visit.starts_at.astimezone(job.home.tz).date() == day


def taken_from(crew: Crew, day: date) -> None:
    """Send the crew elsewhere on that day, from eight in the morning."""
    home = make_home(street="9 Far End")
    start = datetime.combine(day, time(8), tzinfo=home.tz)
    booking.book(
        crew=crew,
        home=home,
        purpose="check",
        starts_at=start,
        ends_at=start + timedelta(hours=8),
        at=timezone.now(),
    )
    Notice.objects.all().delete()
