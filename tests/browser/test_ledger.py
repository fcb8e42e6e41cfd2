"""The owner's way: the ledger sorted, narrowed, taken home as a table."""

import csv
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from django.utils.timezone import localdate
from openpyxl import load_workbook
from playwright.sync_api import Page, expect

from tests.browser.pages import axe, photograph, spills, words
from tests.factories import make_crew, make_home, make_job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def earned(street: str, revenue: str, crew: str) -> None:
    make_job(
        home=make_home(street=street),
        crew=make_crew(name=crew),
        stage="handed-over",
        fitted_on=localdate(),
        revenue=revenue,
        materials="100.10",
        labour="50.05",
    )


def downloaded(page: Page, link: str, to: Path) -> Path:
    with page.expect_download() as waiting:
        page.get_by_role("link", name=link).click()
    path = to / waiting.value.suggested_filename
    waiting.value.save_as(path)
    return path


def see_streets(page: Page, *named: str) -> None:
    """Wait until the table shows these streets, from top to bottom."""
    rows = page.locator("main > .scroll tbody tr")
    expect(rows).to_have_text([re.compile(name) for name in named])


def test_the_owner_reviews_the_month(open_page: Callable[..., Page], tmp_path: Path) -> None:
    earned("1 Quail Hollow", "900.90", "North crew")
    earned("2 Kiln Street", "1800.18", "South crew")
    page = open_page("/", role="owner")
    photograph(page, "owner-ledger")
    wrong = [*axe(page), spills(page)]

    page.get_by_role("link", name="Revenue", exact=True).click()
    see_streets(page, "Quail Hollow", "Kiln Street")
    page.get_by_role("link", name="Revenue", exact=True).click()
    see_streets(page, "Kiln Street", "Quail Hollow")
    page.get_by_label("Crew").select_option("South crew")
    page.get_by_role("button", name="Show").click()
    see_streets(page, "Kiln Street")
    with downloaded(page, "All rows as CSV", tmp_path).open(encoding="utf-8-sig") as file:
        rows = list(csv.reader(file))
    book = load_workbook(downloaded(page, "All rows as XLSX", tmp_path), read_only=True)
    sheet = list(book.worksheets[0].values)
    book.close()

    assert wrong == [0]
    assert "$1,800.18" in words(page)
    assert [("2 Kiln Street" in " ".join(rows[1])), rows[-1][0]] == [True, "Total"]
    assert (len(rows), len(sheet)) == (3, 3)


@pytest.mark.parametrize("size", ["desk"])
def test_a_month_without_a_fitting_says_so(open_page: Callable[..., Page]) -> None:
    page = open_page("/ledger/", role="owner")

    assert "No job was fitted in this choice." in words(page)
    assert axe(page) == []
