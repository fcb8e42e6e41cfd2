"""A form that is on its way is not sent again by a second click."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, Route

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.parametrize("size", ["phone"]),
]
CLICK_TWICE = """async () => {
    const soon = () => new Promise((go) => setTimeout(go, 200));
    for (const click of [1, 2]) {
        document.querySelector("main button[type=submit]").click();
        await soon();
    }
}"""


def test_a_second_click_sends_nothing(open_page: Callable[..., Page]) -> None:
    page = open_page("/account/login/")
    page.locator("[name=login]").fill("somebody")
    page.locator("[name=password]").fill("something")
    sent: list[str] = []

    def no_content(route: Route) -> None:  # so that the page stays
        sent.append(route.request.method)
        route.fulfill(status=204)

    page.route("**/account/login/", no_content)
    page.evaluate(CLICK_TWICE)

    assert sent == ["POST"]
