"""Every page there is, on the demo's firm: axe-core in both schemes, and nothing beside 320 px."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.utils.timezone import localdate, now
from playwright.sync_api import Page

from tests.browser.addresses import pages
from tests.browser.pages import axe, sideways, spills
from tests.customers.importing.test_import_pages import BAD, GOOD, match, send
from tests.factories import make_household, make_notice
from tests.warranties.test_outbox import keep_mail
from warranties import tasks
from warranties.actions import transferring
from warranties.demo import play
from warranties.models import Promise, Watch

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.parametrize("size", ["phone"]),
]
HOMES = 26


def faults(page: Page, address: str) -> list[str]:
    """Return what is wrong with the page, in light, in the dark, and on the smallest screen."""
    wrong = []
    if (count := page.locator("h1").count()) != 1:
        wrong.append(f"{count} first headings")
    if not page.title().split("·")[0].strip():
        wrong.append("no title")
    wrong += axe(page)
    page.emulate_media(color_scheme="dark")
    wrong += [f"in the dark: {each}" for each in axe(page, rules=["color-contrast"])]
    page.emulate_media(color_scheme="light")
    page.set_viewport_size({"width": 320, "height": 640})
    if (over := spills(page)) > 0:
        wrong.append(f"{over} px wider than 320 px")
    wrong += [f"a table scrolls sideways: {each}" for each in sideways(page)]
    page.set_viewport_size({"width": 390, "height": 844})
    return [f"{address}: {each}" for each in wrong]


@pytest.fixture
def demo(monkeypatch: pytest.MonkeyPatch, sign_in: Callable[[str], Client]) -> None:
    """A small firm, a home on its way to another household, a mail, two tables half brought in.

    Nobody prints certificates.
    """
    monkeypatch.setattr(tasks, "print_soon", lambda _pk: None)
    play(now=now(), homes=HOMES)
    promise = Promise.objects.in_force().filter(basis="home").latest("pk")
    move = transferring.Move(make_household(), localdate())
    transferring.start_transfer(promise=promise, move=move, at=now())
    make_notice(watch=Watch.objects.latest("pk"))
    keep_mail()
    owner = sign_in("owner")
    send(owner, GOOD)
    match(owner, send(owner, BAD))


@pytest.mark.long(60)
def test_no_page_has_a_fault(
    open_page: Callable[..., Page], sign_in: Callable[[str], Client], demo: None
) -> None:
    browsers = {role: open_page("/health/", role=role) for role in ("owner", "tech", "")}
    wrong = []

    for role, address in pages(sign_in("owner")):
        page = browsers[role]
        page.goto(address)
        wrong += faults(page, address)

    assert "\n".join(wrong) == ""
