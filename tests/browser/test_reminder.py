"""The household's way on a real screen: from the mail to done; the office's pages about it."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from urllib.parse import urlsplit

import pytest
from django.core import mail
from django.utils.timezone import now
from playwright.sync_api import Page

from shared.outbox import OutboxBackend
from tests.browser.pages import axe, photograph, spills
from tests.factories import make_home, make_household, make_notice, make_plant, make_watch
from warranties.actions import noticing
from warranties.models import Notice, Reading, Watch
from warranties.notices import plan_notices
from warranties.notices.leaving import leave_address

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
OpenPage = Callable[..., Page]


def assert_sound(page: Page, name: str) -> None:
    assert axe(page) == []
    assert spills(page) <= 0
    photograph(page, name)


def reminded(language: str = "en") -> tuple[Notice, list[str]]:
    """A notice that was planned and sent at noon, and the addresses in its mail."""
    zone = f"Etc/GMT{now().hour - 12:+d}"  # where it is noon now
    household = make_household(language=language, name="Ana Ríos")
    plant = make_plant(home=make_home(household=household, street="14 Lantern Row", zone=zone))
    day = datetime.now(UTC).date() + timedelta(days=20)
    make_watch(plant=plant, opens_on=day, earliest_on=day, latest_on=day + timedelta(days=30))
    assert plan_notices(now()) == 1
    notice = Notice.objects.get()
    assert noticing.send(pk=notice.pk, at=now()) == "sent"
    lines = str(mail.outbox[0].body).splitlines()
    return notice, [urlsplit(line).path for line in lines if line.startswith("http")]


@pytest.mark.parametrize(
    ("language", "yes", "thanks"),
    [("en", "Yes, it is done", "Thank you"), ("es", "Sí, ya está hecho", "Gracias")],
)
def test_from_the_mail_to_done_in_one_click(
    open_page: OpenPage, language: str, yes: str, thanks: str
) -> None:
    _notice, addresses = reminded(language)
    (done,) = [address for address in addresses if address.endswith("/done/")]
    page = open_page(done)
    assert_sound(page, f"answer-{language}")

    page.get_by_role("button", name=yes).click()

    page.get_by_text(thanks).wait_for()
    assert_sound(page, f"my-home-done-{language}")
    assert Reading.objects.latest("pk").trimmed_to_mm == 305
    assert plan_notices(now()) == 0


def test_help_goes_from_my_home_to_the_office_and_into_the_diary(open_page: OpenPage) -> None:
    notice, addresses = reminded()
    (home_page,) = [
        address
        for address in addresses
        if address.startswith("/my-home/") and address.count("/") == 3
    ]
    page = open_page(home_page)
    assert_sound(page, "my-home")
    page.get_by_role("button", name="I need help").click()
    page.get_by_text("We have your call for help").wait_for()

    desk = open_page("/outbox/", role="office")
    assert_sound(desk, "outbox")
    desk.get_by_role("button", name="Book a check at 14 Lantern Row").click()

    desk.wait_for_url("**/diary/?home=*")
    notice.refresh_from_db()
    assert notice.answer_handled_at is not None


def test_leaving_takes_one_click(open_page: OpenPage) -> None:
    notice, _addresses = reminded()
    page = open_page(urlsplit(leave_address(notice)).path)
    assert_sound(page, "leave")

    page.get_by_role("button", name="Send me no more mails").click()

    page.get_by_role("heading", name="We send you no more mails").wait_for()
    assert_sound(page, "left")
    assert not notice.household.consents.get(channel="mail").given


def test_the_offices_pages(open_page: OpenPage) -> None:
    reminded()
    OutboxBackend().send_messages([mail.outbox[0]])
    make_notice(state="held", state_reason="The mail server said: 550 no such user")
    make_notice(channel="letter")
    make_notice(channel="call")

    page = open_page("/watch-list/", role="office")
    assert_sound(page, "watch-list")
    page.goto("/outbox/")
    assert_sound(page, "outbox-full")
    page.goto("/outbox/calls/")
    assert_sound(page, "calls")
    page.goto("/outbox/")
    page.get_by_role("link", name="Please cut back the lantana at 14 Lantern Row").click()
    page.get_by_text("Back to the outbox").wait_for()
    assert_sound(page, "mail")
    page.get_by_role("link", name="As it looks").click()
    page.get_by_text("It is done").wait_for()
    assert spills(page) <= 0
    photograph(page, "mail-html")
    assert Watch.objects.count() == 4
