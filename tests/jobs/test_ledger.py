"""The ledger: each job's money, totals that are the sum of the rows, filters, files."""

import csv
import io
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook
from pytest_django import DjangoAssertNumQueries

from jobs.ledger import Earnings, by_month, months_until
from jobs.models import Crew, Job
from tests.factories import make_crew, make_home, make_job

CENTS = st.decimals(-10_000, 100_000, places=2)


@given(st.lists(st.builds(Earnings, CENTS, CENTS, CENTS, CENTS, CENTS)))
def test_a_total_is_the_sum_of_its_parts_to_the_cent(each: list[Earnings]) -> None:
    both = sum(each, Earnings())

    assert both.revenue - both.cost == both.margin == sum(e.margin for e in each)


@pytest.mark.parametrize(
    ("revenue", "cost", "percent"),
    [("100", "60", "40.0"), ("3", "2", "33.3"), ("8", "7.9", "1.3"), ("0", "5", None)],
)
def test_margin_percent_is_of_revenue(revenue: str, cost: str, percent: str | None) -> None:
    earned = Earnings(revenue=Decimal(revenue), labour=Decimal(cost))

    assert earned.margin_percent == (Decimal(percent) if percent else None)


def test_shows_each_month_asked_for_across_a_year_end() -> None:
    months = months_until(date(2026, 1, 20), 3)
    one = Earnings(revenue=Decimal(1))

    sums = by_month({date(2025, 12, 1): one, date(2024, 1, 1): one}, months)

    assert [(m.isoformat(), int(e.revenue)) for m, e in sums] == [
        ("2025-11-01", 0),
        ("2025-12-01", 1),
        ("2026-01-01", 0),
    ]


def fitted(number: str, on: date, crew: Crew | None = None, **fields: Any) -> Job:
    money = {
        "revenue": "1000.01",
        "materials": "200.02",
        "labour": "300.03",
        "promise_cost": "50.04",
    }
    return make_job(
        number=number,
        stage="handed-over",
        fitted_on=on,
        crew=crew,
        **{**{name: Decimal(value) for name, value in money.items()}, **fields},
    )


def rows_of(owner: Client, address: str) -> list[list[str]]:
    response = owner.get(address)
    text = b"".join(response.streaming_content).decode("utf-8-sig")  # type: ignore[attr-defined]
    return list(csv.reader(io.StringIO(text)))


def test_shows_the_month_and_its_totals(owner: Client) -> None:
    fitted("2026-0001", date(2026, 3, 2))
    fitted("2026-0002", date(2026, 3, 31))
    fitted("2026-0003", date(2026, 4, 1))

    page = owner.get(reverse("ledger"), {"month": "2026-03"}).content.decode()

    assert "2026-0001" in page
    assert "2026-0003" not in page
    assert "$2,000.02" in page  # revenue of both
    assert "$899.84" in page  # margin of both: 2 x 449.92
    assert "<svg" in page


def test_totals_of_the_file_equal_the_sum_of_its_rows(owner: Client) -> None:
    for n in range(7):
        fitted(f"2026-{n:04d}", date(2026, 3, 1 + n), revenue=Decimal("333.33") + n)

    _, *rows, last = rows_of(owner, reverse("ledger") + "?month=2026-03&export=csv")

    assert len(rows) == 7
    for column in range(7, 13):
        assert sum(Decimal(row[column]) for row in rows) == Decimal(last[column])


def test_filters_by_crew_source_and_kind(owner: Client) -> None:
    crew = make_crew()
    fitted("2026-0001", date(2026, 3, 2), crew=crew, source="neighbour")
    fitted("2026-0002", date(2026, 3, 2), kind="repair")

    def numbers(query: str) -> list[str]:
        return [row[0] for row in rows_of(owner, f"{reverse('ledger')}?export=csv&{query}")[1:-1]]

    assert numbers(f"crew={crew.pk}") == ["2026-0001"]
    assert numbers("kind=repair") == ["2026-0002"]
    assert numbers("source=neighbour&kind=repair") == []


def test_sorts_by_margin_share(owner: Client) -> None:
    fitted("2026-0001", date(2026, 3, 2))
    fitted("2026-0002", date(2026, 3, 3), revenue=Decimal(9000))

    ascending = rows_of(owner, reverse("ledger") + "?export=csv&sort=margin_percent")
    falling = rows_of(owner, reverse("ledger") + "?export=csv&sort=-margin_percent")

    assert [row[0] for row in ascending[1:-1]] == ["2026-0001", "2026-0002"]
    assert [row[0] for row in falling[1:-1]] == ["2026-0002", "2026-0001"]


def test_sorts_by_margin_with_no_revenue_at_the_low_end(owner: Client) -> None:
    fitted("2026-0001", date(2026, 3, 2))
    fitted("2026-0002", date(2026, 3, 3), revenue=Decimal(0))
    fitted("2026-0003", date(2026, 3, 3), revenue=Decimal(5000))

    for column in ("margin", "margin_percent"):
        rows = rows_of(owner, f"{reverse('ledger')}?export=csv&sort=-{column}")[1:-1]
        assert [row[0] for row in rows] == ["2026-0003", "2026-0001", "2026-0002"]


def test_a_formula_in_a_street_comes_out_harmless(owner: Client) -> None:
    home = make_home(street="=cmd|' /C calc'!A0")
    fitted("2026-0001", date(2026, 3, 2), home=home)

    cells = rows_of(owner, reverse("ledger") + "?month=2026-03&export=csv")[1]
    response = owner.get(reverse("ledger") + "?month=2026-03&export=xlsx")
    book = load_workbook(io.BytesIO(b"".join(response.streaming_content)))  # type: ignore[attr-defined]
    response.close()

    assert cells[2] == "'=cmd|' /C calc'!A0"
    cell = book.worksheets[0]["C2"]
    assert (cell.value, cell.data_type) == ("'=cmd|' /C calc'!A0", "s")
    assert book.worksheets[0]["H2"].value == 1000.01


def test_the_number_of_queries_does_not_grow(
    owner: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for n in range(30):
        fitted(f"2026-{n:04d}", date(2026, 3, 1 + n))

    with django_assert_max_num_queries(8):
        owner.get(reverse("ledger"), {"month": "2026-03"})


def test_a_wrong_month_shows_the_error_and_no_traceback(owner: Client) -> None:
    response = owner.get(reverse("ledger"), {"month": "2026-13"})

    assert response.status_code == 200
    assert "Select a valid choice" in response.content.decode()
