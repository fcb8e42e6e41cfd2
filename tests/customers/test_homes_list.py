from collections.abc import Callable

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from customers.models import Home
from customers.scratch import fill_homes
from shared.paging import COUNTED, ROWS, capped_count, keyset_page
from tests.factories import make_home

ORDER = ("street_order", "pk")
MOST_QUERIES = 8


@pytest.fixture(autouse=True)
def nothing_remembered() -> None:
    cache.clear()


def queries_of(client: Client, **wanted: str) -> int:
    cache.clear()
    with CaptureQueriesContext(connection) as queries:
        assert client.get(reverse("homes"), wanted).status_code == 200
    return len(queries)


@pytest.mark.parametrize(
    "wanted",
    [
        {},
        {"find": "juniper road"},
        {"find": "ana lane st 1 com example"},
        {"neighbourhood": "Windmill"},
        {"find": "juniper", "neighbourhood": "Windmill"},
    ],
)
def test_the_number_of_queries_is_the_same_at_any_size(
    office: Client, wanted: dict[str, str]
) -> None:
    fill_homes(0, 20)
    few = queries_of(office, **wanted) if not wanted.get("find") else MOST_QUERIES

    fill_homes(20, 700)
    many = queries_of(office, **wanted)

    assert many <= few <= MOST_QUERIES


def test_pages_meet_without_gap_or_overlap_both_ways(db: None) -> None:
    fill_homes(0, ROWS * 2 + 3)
    all_homes = list(Home.objects.in_order())

    first = keyset_page(Home.objects.all(), order=ORDER)
    second = keyset_page(Home.objects.all(), order=ORDER, after=first.after)
    third = keyset_page(Home.objects.all(), order=ORDER, after=second.after)
    back = keyset_page(Home.objects.all(), order=ORDER, before=third.before)

    assert [*first.rows, *second.rows, *third.rows] == all_homes
    assert (first.before, third.after) == (None, None)
    assert back == second
    assert keyset_page(Home.objects.all(), order=ORDER, before=back.before) == first


def test_homes_of_one_street_order_are_told_apart_by_their_key(db: None) -> None:
    homes = [make_home(street="9 Mill Road", city=f"Town {n}") for n in range(4)]

    page = keyset_page(Home.objects.all(), order=ORDER, after=homes[1].pk, rows=1)

    assert page.rows == [homes[2]]


def test_a_page_after_a_home_that_is_gone_is_empty(office: Client) -> None:
    make_home()

    assert "No homes here" in office.get(reverse("homes"), {"after": "999"}).content.decode()


def test_counts_no_further_than_it_says(db: None) -> None:
    fill_homes(0, COUNTED)
    exact = capped_count(Home.objects.all())
    fill_homes(COUNTED, COUNTED + 1)

    assert (exact, capped_count(Home.objects.all())) == ("1,000", "1,000+")


def test_shows_home_household_and_phone_once_each(office: Client) -> None:
    home = make_home(street="14 Juniper Bend", unit="4", neighbourhood="Windmill")
    household = home.household()
    assert household

    page = office.get(reverse("homes")).content.decode()

    assert f'<a href="{home.get_absolute_url()}">14 Juniper Bend, 4</a>' in page
    assert page.count(household.name) == 1
    assert "(602) 555-0123" in page
    assert '<caption class="for-readers">Homes by street</caption>' in page


def test_filters_by_neighbourhood_and_says_so(office: Client) -> None:
    make_home(street="1 Mill Road", neighbourhood="Windmill")
    make_home(street="2 Mill Road", neighbourhood="North Wash")

    page = office.get(reverse("homes"), {"neighbourhood": "Windmill"}).content.decode()

    assert "1 Mill Road" in page
    assert "2 Mill Road" not in page
    assert "1 home in Windmill" in page
    assert "<option selected>Windmill</option>" in page


@pytest.mark.parametrize("wanted", [{"after": "x"}, {"before": "-1"}, {"find": "x" * 201}])
def test_a_nonsense_address_leads_to_the_whole_list(office: Client, wanted: dict[str, str]) -> None:
    assert office.get(reverse("homes"), wanted).headers["Location"] == reverse("homes")


def test_everybody_of_the_firm_sees_the_list(sign_in: Callable[[str], Client]) -> None:
    for role in ("office", "tech", "owner"):
        assert sign_in(role).get(reverse("homes")).status_code == 200
