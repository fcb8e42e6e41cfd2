"""What a table does to homes that we know, and what a killed import leaves behind."""

from datetime import date
from typing import Any

import pytest

from customers import finding
from customers.models import Consent, FindWord, Home, Household, Ownership
from jobs.models import Job, Offer, PriceBook
from tests.customers.importing.tables import bring_in, reasons, row
from tests.factories import make_home, make_household, make_job, make_promise
from warranties.models import Promise, PromiseChange, Terms

pytestmark = pytest.mark.django_db


def test_a_new_home_has_its_household_since_the_fitting_and_is_found() -> None:
    bring_in(
        row(name="Ana Ortega", phone="602-555-0123", street="14 Juniper Bend", fitted="2024-03-09")
    )

    home = Home.objects.get()
    assert Ownership.objects.get(home=home).since == date(2024, 3, 9)
    job = Job.objects.get()
    for asked in ("ortega", "555-0123", "juniper", job.number):
        assert list(finding.homes_found(asked)) == [home]
    assert home.history.get().history_user.username == "office"
    assert Household.history.count() == Ownership.history.count() == Job.history.count() == 1


def test_fills_only_blanks_of_a_home_that_we_know() -> None:
    household = make_household(name="Ana Ortega", mail="", note="Dog.")
    home = make_home(household=household, street="14 Juniper Bend", neighbourhood="")

    run = bring_in(
        row(
            name="ORTEGA",
            phone="602-555-0199",
            mail="ana@example.com",
            street="14 juniper bnd.",
            notes="Gate 12.",
        ),
        row(
            name="Ana Ortega", phone="602-555-0198", mail="b@example.com", street="14 Juniper Bend"
        ),
    )

    assert (run.rows_new, run.rows_known, run.rows_refused) == (0, 2, 0)
    household.refresh_from_db()
    home.refresh_from_db()
    assert (household.name, household.mail) == ("Ana Ortega", "ana@example.com")
    assert str(household.phone) == "+16025550123"
    assert str(household.second_phone) == "+16025550199"
    assert household.note.splitlines() == [
        "Dog.",
        "Gate 12.",
        "Also: +16025550198",
        "Also: b@example.com",
    ]
    assert home.street == "14 Juniper Bend"
    assert list(finding.homes_found("555-0199")) == [home]


def test_the_same_table_twice_changes_nothing() -> None:
    rows = [
        row(name="Ana", street=f"{number} Juniper Bend", fitted="2024-03-09", price="900",
            warranty="yes", lasts="home", notes=f"Gate {number}.", mail_consent="yes")
        for number in range(1, 8)
    ]  # fmt: skip
    first = bring_in(*rows, row(street="1 Juniper Bend", fitted="2025-03-09"))
    before = snapshot()

    again = bring_in(*rows, row(street="1 Juniper Bend", fitted="2025-03-09"))

    assert (first.rows_new, first.rows_known) == (7, 1)
    assert (again.rows_new, again.rows_known, again.rows_refused) == (0, 8, 0)
    assert snapshot() == before
    assert Job.objects.count() == 8


def snapshot() -> list[Any]:
    kept = (Home, Household, Ownership, Consent, Job, Offer, Promise, PromiseChange, FindWord)
    changes = (Home.history, Household.history, Job.history)
    return [list(model.objects.order_by("pk").values()) for model in kept] + [
        each.count() for each in changes
    ]


def test_another_name_at_a_known_home_asks_a_person() -> None:
    make_home(household=make_household(name="Ana Ortega"), street="14 Juniper Bend")

    run = bring_in(
        row(name="Bo Li", street="14 Juniper Bend"),
        row(name="Cy", street="15 Juniper Bend"),
        row(name="Dana", street="15 Juniper Bend"),
    )

    assert (run.rows_new, run.rows_refused) == (1, 2)
    assert "as the home of Ana Ortega; this row says Bo Li" in reasons(run)[0]
    assert "as the home of Cy; this row says Dana" in reasons(run)[1]


def test_a_household_without_a_name_gets_it_from_a_later_table() -> None:
    bring_in(row(phone="602-555-0123", street="14 Juniper Bend"))
    assert Household.objects.get().name == "Household at 14 Juniper Bend"

    bring_in(row(name="Ana Ortega", street="14 Juniper Bend"))

    assert Household.objects.get().name == "Ana Ortega"


def test_a_home_alone_comes_in_alone_and_takes_a_household_later() -> None:
    bring_in(row(street="14 Juniper Bend"))
    assert not Household.objects.exists()

    bring_in(row(name="Ana Ortega", street="14 Juniper Bend"))

    home = Home.objects.get()
    assert str(home.household()) == "Ana Ortega"


def test_consent_is_noted_only_where_it_is_said_and_nothing_is_known() -> None:
    said_no = make_household(name="Ana Ortega")
    said_no.consents.update(given=False)
    make_home(household=said_no, street="14 Juniper Bend")

    bring_in(
        row(name="Ana Ortega", street="14 Juniper Bend", mail_consent="yes"),
        row(name="Bo Li", street="15 Juniper Bend", mail_consent="yes"),
        row(name="Cy", street="16 Juniper Bend", mail="cy@example.com"),
    )

    assert dict(Consent.objects.values_list("household__name", "given")) == {
        "Ana Ortega": False,
        "Bo Li": True,
    }


def test_a_job_brings_its_price_by_an_agreed_offer() -> None:
    bring_in(
        row(name="Ana", street="14 Juniper Bend", fitted="2024-03-09"),
        row(name="Ana", street="14 Juniper Bend", fitted="2024-03-09", price="3930.00"),
        row(name="Ana", street="14 Juniper Bend", fitted="2023-03-09", price="100"),
    )

    jobs = Job.objects.order_by("fitted_on")
    assert [(job.number, job.revenue, job.source) for job in jobs] == [
        ("2023-0001", 100, "import"),
        ("2024-0001", 3930, "import"),
    ]
    assert Offer.objects.filter(state="agreed").count() == 2
    assert PriceBook.objects.get().prices.count() == 0


def test_a_job_of_our_own_keeps_its_price() -> None:
    home = make_home(household=make_household(name="Ana"), street="14 Juniper Bend")
    job = make_job(home=home, stage="handed-over", fitted_on=date(2024, 3, 9))

    bring_in(row(name="Ana", street="14 Juniper Bend", fitted="2024-03-09", price="1"))

    assert Job.objects.get() == job
    assert not Offer.objects.exists()


def test_a_promise_keeps_its_number_and_words_under_terms_that_nobody_gets_again() -> None:
    words = "Lifetime on strips; " * 40
    bring_in(
        row(name="Ana", street="14 Juniper Bend", fitted="2024-03-09", warranty=words,
            warranty_number="W-12", lasts="home"),
        row(name="Bo", street="15 Juniper Bend", fitted="2024-03-09", warranty="yes",
            lasts="owner"),
        row(name="Cy", street="16 Juniper Bend", fitted="2024-03-09", warranty="no"),
    )  # fmt: skip

    ana, bo = Promise.objects.order_by("home__street")
    assert (ana.number, ana.basis, ana.state) == ("W-12", "home", "in-force")
    assert bo.number.startswith("RK-2026-")
    assert bo.basis == "ownership"
    said = "".join(ana.changes.order_by("pk").values_list("reason", flat=True))
    assert words.strip() in said
    assert ana.terms.version == 0
    newest = Terms.objects.newest("en")
    assert newest is not None
    assert newest.version > 0


def test_a_promise_number_of_another_home_is_refused() -> None:
    promise = make_promise()

    run = bring_in(
        row(
            street="14 Juniper Bend",
            fitted="2024-03-09",
            warranty_number=promise.number,
            lasts="home",
        ),
        row(street="15 Juniper Bend", fitted="2024-03-09", warranty_number="W-1", lasts="home"),
        row(street="16 Juniper Bend", fitted="2024-03-09", warranty_number="W-1", lasts="home"),
        row(street="15 Juniper Bend", fitted="2024-03-09", warranty_number="W-2", lasts="home"),
    )

    assert [reason.partition(": ")[2] for reason in reasons(run)] == [
        f"{promise.number} belongs to another home.",
        "W-1 belongs to another home.",
        "the home has W-1 already.",
    ]


def test_a_promise_that_is_over_is_brought_in_as_ended() -> None:
    headings = "Street,City,Warranty from,Warranty until,Warranty basis"
    bring_in(
        "14 Juniper Bend,Flat,2015-03-09,2020-03-09,home",
        "15 Juniper Bend,Flat,2024-03-09,2029-03-09,home",
        headings=headings,
    )

    ended, standing = Promise.objects.order_by("home__street")
    assert (ended.state, ended.ended_on) == ("ended", date(2020, 3, 9))
    assert standing.state == "in-force"
    assert "until 2029-03-09" in standing.changes.get().reason
