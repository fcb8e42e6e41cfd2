"""Rows of a home that is perhaps a known one: asked about, answered in the file, never merged."""

import csv
import io

import pytest

from customers.actions import importing
from customers.models import Home
from tests.customers.importing.tables import HEADINGS, bring_in, loaded, reasons, row
from tests.factories import NOON, make_home, make_household

pytestmark = pytest.mark.django_db


def test_a_slip_comes_back_with_the_question_and_is_not_merged() -> None:
    make_home(household=make_household(name="Ana Ortega"), street="14 Juniper Bend")

    run = bring_in(
        row(name="Ana Ortega", street="14 Junipre Bend"),
        row(name="Bo Li", street="15 Juniper Bend"),
        row(name="Bo Li", street="15 Junipr Bend"),
    )

    assert (run.rows_new, run.rows_refused) == (1, 2)
    assert (
        "Perhaps the same home as 14 Juniper Bend, Mesquite Flat (Ana Ortega)." in reasons(run)[0]
    )
    assert "as 15 Juniper Bend, Mesquite Flat (Bo Li)." in reasons(run)[1]
    assert Home.objects.count() == 2


def test_the_answer_yes_brings_another_home_in() -> None:
    run = bring_in(
        row(name="Ana", street="14 Juniper Bend"), row(name="Bo", street="14 Junipr Bend")
    )
    headings, rows = importing.refused_rows(run=run)
    sent = io.StringIO()
    csv.writer(sent).writerows([[reason, "yes", *cells] for reason, _, *cells in rows])

    again = bring_in(*sent.getvalue().splitlines(), headings=",".join(headings))

    assert headings == [*importing.OURS, *HEADINGS.split(",")]
    assert (again.rows_new, again.rows_refused) == (1, 0)
    assert Home.objects.count() == 2


def test_a_corrected_row_fills_the_home_that_it_was() -> None:
    run = bring_in(
        row(name="Ana", street="14 Juniper Bend"),
        row(name="Ana", street="14 Junipr Bend", phone="602-555-0123"),
    )
    assert run.rows_refused == 1

    bring_in(row(name="Ana", street="14 Juniper Bend", phone="602-555-0123"))

    assert str(Home.objects.get().household().phone) == "+16025550123"  # type: ignore[union-attr]


def test_the_preview_lists_them() -> None:
    run = loaded(row(name="Ana", street="14 Juniper Bend"), row(street="14 Junipr Bend"))

    seen = importing.preview(run=run, at=NOON)

    assert [(each.number, each.resembles) for each in seen.perhaps_same] == [
        (3, "14 Juniper Bend, Mesquite Flat (Ana)")
    ]
    assert (seen.new, seen.refused) == (1, 1)


def test_neighbours_of_one_street_and_their_landlord_are_not_asked_about() -> None:
    landlord = {"name": "Ana Ortega", "phone": "602-555-0123"}
    run = bring_in(
        *(row(**landlord, street=f"{n} Juniper Bend") for n in range(1, 30)),
        *(row(**landlord, street=f"14 {name} Bend") for name in ("Mesa", "Yucca", "Quail", "Lark")),
    )

    assert (run.rows_new, run.rows_refused) == (33, 0)
