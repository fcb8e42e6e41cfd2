"""A real Chromium at two sizes, against the site served from the test's own tables.

A test asks for open_page and, where the size matters, sets it: it runs at both unless it says
    @pytest.mark.parametrize("size", ["phone"])
A page that logs an error, as a breach of the content security policy does, fails its test.
"""

import os

# Playwright keeps an event loop in this thread; our queries block it, which is fine in a test.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

from collections.abc import Callable, Iterator

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright
from pytest_django.live_server_helper import LiveServer

from tests.browser.pages import ARGUMENTS, SIZES, chromium_path

OpenPage = Callable[..., Page]


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture(params=SIZES)
def size(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def open_page(
    chromium: Browser, size: str, live_server: LiveServer, sign_in: Callable[[str], Client]
) -> Iterator[OpenPage]:
    """Return a function that opens an address: open_page("/tray/", role="office").

    Without a role nobody is signed in. Each call opens a browser of its own, without history.
    """
    troubles: list[str] = []
    contexts = []

    def note(message: ConsoleMessage) -> None:
        if message.type == "error" and not message.text.startswith("Failed to load resource"):
            troubles.append(f"{message.location['url']}: {message.text}")

    def open_one(address: str = "/", *, role: str = "") -> Page:
        context = chromium.new_context(base_url=live_server.url, **SIZES[size])
        context.set_default_timeout(15_000)
        contexts.append(context)
        if role:
            cookie = sign_in(role).cookies[settings.SESSION_COOKIE_NAME]
            context.add_cookies(
                [{"name": cookie.key, "value": cookie.value, "url": live_server.url}]
            )
        page = context.new_page()
        page.on("console", note)
        page.on("pageerror", lambda error: troubles.append(str(error)))
        page.goto(address)
        return page

    yield open_one
    for context in contexts:
        context.close()
    assert troubles == []
