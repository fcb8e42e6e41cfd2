"""The lists that grow with the firm ask the database no more for more rows."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from customers.models import Home, ImportRun
from tests.factories import make_crew, make_home, make_household, make_price_book, make_user

pytestmark = pytest.mark.django_db
LISTS = ("homes", "imports", "crews", "people", "prices")
FIRST = date(2026, 6, 1)


def grow(home: Home, rows: int) -> None:
    for number in range(rows):
        serial = make_household().pk
        make_home()
        home.ownerships.create(household=make_household(), since=FIRST)
        somebody = make_user(role="tech", username=f"tech-{serial}")
        make_crew().members.add(somebody)
        make_price_book(valid_from=FIRST + timedelta(days=serial))
        ImportRun.objects.create(name=f"{number}.csv", sha256=str(serial), by=somebody)


def test_a_list_asks_no_more_for_more_rows(owner: Client) -> None:
    home = make_home()
    pages = [home.get_absolute_url(), *map(reverse, LISTS)]

    def questions(address: str) -> int:
        with CaptureQueriesContext(connection) as asked:
            assert owner.get(address).status_code == 200
        return len(asked)

    grow(home, 2)
    few = [(questions(page), questions(page))[1] for page in pages]  # the first fills caches
    grow(home, 4)

    assert dict(zip(pages, map(questions, pages), strict=True)) == dict(
        zip(pages, few, strict=True)
    )
