"""What browser tests do with a page: check it with axe-core, photograph it, measure it."""

import shutil
from collections.abc import Sequence
from typing import Any

from axe_playwright_python.base import AXE_SCRIPT
from django.conf import settings
from playwright.sync_api import Page

SIZES: dict[str, dict[str, Any]] = {
    "phone": {"viewport": {"width": 390, "height": 844}, "is_mobile": True, "has_touch": True},
    "desk": {"viewport": {"width": 1280, "height": 800}},
}
ARGUMENTS = [
    "--no-sandbox",  # the tests may run as root, who has none
    "--disable-dev-shm-usage",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def chromium_path() -> str:
    path = shutil.which("chromium")
    assert path, "chromium is missing; make test installs it"
    return path


def axe(page: Page, *, rules: Sequence[str] = ()) -> list[str]:
    """Return what axe-core finds against WCAG 2.2 AA and its own good practice, one line each.

    With rules, only those are looked at.
    """
    page.wait_for_load_state()
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)
    options: dict[str, Any] = {"resultTypes": ["violations"]}
    if rules:
        options["runOnly"] = {"type": "rule", "values": list(rules)}
    violations = page.evaluate("options => axe.run(document, options)", options)["violations"]
    return [
        f"{found['id']}: {found['help']}: {node['html'][:120]}"
        for found in violations
        for node in found["nodes"]
    ]


def photograph(page: Page, name: str) -> None:
    """Keep a picture of the whole page in var/screenshots, named with the width."""
    folder = settings.VAR_DIR / "screenshots"
    folder.mkdir(exist_ok=True)
    assert page.viewport_size
    width = page.viewport_size["width"]
    page.screenshot(path=folder / f"{name}-{width}.png", full_page=True)


def spills(page: Page) -> int:
    """Return by how many pixels the page is wider than its window."""
    page.wait_for_load_state()
    # Not innerWidth: a phone's browser zooms out until a page that is too wide fits.
    assert page.viewport_size
    return int(page.evaluate("document.documentElement.scrollWidth")) - page.viewport_size["width"]


def sideways(page: Page) -> list[str]:
    """Return the first words of each table that is wider than its place: a drawing may be."""
    wider = "each => each.offsetWidth > each.parentElement.clientWidth"
    named = f"all => all.filter({wider}).map(each => each.innerText.slice(0, 40))"
    return list(page.locator(".scroll > table").evaluate_all(named))


def words(page: Page) -> str:
    """Return what the main part of the page says, once the whole of it has come."""
    page.wait_for_load_state()
    return page.inner_text("main")
