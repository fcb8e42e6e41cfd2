"""Callbacks on screen: taken, looked at, decided, closed; on the promise and the home's story."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.template import Context, Template
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from customers.actions import keep_words
from customers.story import story
from tests.factories import (
    NOON,
    TODAY,
    make_booking,
    make_callback,
    make_crew,
    make_fitted_detail,
    make_home,
    make_household,
    make_job,
    make_photo_file,
    make_plant,
    make_price_book,
    make_promise,
    make_user,
)
from warranties.models import Callback, Promise, Reading

HELP = 'href="tel:+18002221222"'
POSTS = ("findings", "decision", "material", "hours", "close")


def url(callback: Callback, name: str = "") -> str:
    return reverse(f"callback-{name}" if name else "callback", args=[callback.number])


def make_known_promise(street: str = "14 Juniper Hollow") -> Promise:
    """A promise whose home can be found by its words."""
    home = make_home(street=street, household=make_household(name="Ana Ríos"))
    keep_words(home=home)
    return make_promise(job=make_job(home=home, stage="handed-over", fitted_on=TODAY))


def test_the_office_finds_the_promise_by_home_or_number(office: Client) -> None:
    promise = make_known_promise()
    address = reverse("callback-new", args=[promise.number])

    for words in ("juniper", "rios", promise.number, promise.number.lower()):
        page = office.get(reverse("callback-find"), {"find": words}).content.decode()
        assert address in page, words
    assert address not in office.get(reverse("callback-find")).content.decode()
    nothing = office.get(reverse("callback-find"), {"find": "zzz"}).content.decode()
    assert "No promise is found" in nothing


def test_an_ended_promise_is_found_but_takes_no_callback(office: Client) -> None:
    promise = make_known_promise()
    Promise.objects.filter(pk=promise.pk).update(state="ended", ended_on=TODAY)
    address = reverse("callback-new", args=[promise.number])

    found = office.get(reverse("callback-find"), {"find": "juniper"}).content.decode()
    refused = office.post(address, {"report": "One."})

    assert address not in found
    assert refused.status_code == 422
    assert "ended on 2 March 2026" in refused.content.decode()
    assert not Callback.objects.exists()


@pytest.mark.parametrize("role", ["office", "tech"])
def test_office_and_tech_log_a_report(role: str, office: Client, tech: Client) -> None:
    promise = make_known_promise()
    browser = {"office": office, "tech": tech}[role]

    response = browser.post(
        reverse("callback-new", args=[promise.number]), {"report": "One in the tub."}
    )

    callback = promise.callbacks.get()
    assert response.headers["Location"] == callback.get_absolute_url()
    page = browser.get(url(callback)).content.decode()
    assert "One in the tub." in page
    assert callback.number in page
    logged = callback.history.get()
    assert logged.history_user == make_user(role=role)


def test_an_empty_report_is_refused(office: Client) -> None:
    promise = make_known_promise()

    response = office.post(reverse("callback-new", args=[promise.number]), {"report": " "})

    assert response.status_code == 422


def test_help_for_a_sting_stands_before_everything(tech: Client) -> None:
    promise = make_known_promise()
    for page in (
        tech.get(reverse("callback-find")).content.decode(),
        tech.get(reverse("callback-new", args=[promise.number])).content.decode(),
        tech.get(url(make_callback(report="My son was stung."))).content.decode(),
        tech.get(url(make_callback(stung=True))).content.decode(),
    ):
        assert page.index(HELP) < page.index("<h1>")
        assert "1-800-222-1222" in page
    assert HELP not in tech.get(url(make_callback())).content.decode()


def test_the_tech_first_reads_what_could_have_opened(tech: Client) -> None:
    callback = make_callback()
    plant = make_plant(home=callback.promise.home, name="Lantana")
    Reading.objects.create(plant=plant, on=TODAY, clearance_mm=Decimal("50.8"))

    page = tech.get(url(callback)).content.decode()

    assert page.index("Lantana") < page.index("What you found")
    assert "stood 0&#x27; 2&quot; off on 2 March 2026" in page
    assert "None in our books." in page


def test_from_findings_to_closed(tech: Client) -> None:
    make_price_book()
    crew = make_crew(hourly_cost=40)
    callback = make_callback()
    found = {
        "found-findings": "A jasmine leans on the wall.",
        "found-cause": "plant-contact",
        "found-remedy": "Cut back.",
        "found-taken": make_photo_file(),
    }

    tech.post(url(callback, "findings"), found)
    tech.post(
        url(callback, "material"),
        {"material-item": "collar", "material-quantity": "1", "material-on": "2026-03-02"},
    )
    tech.post(
        url(callback, "hours"),
        {"hours-hours": "1.5", "hours-crew": crew.pk, "hours-on": "2026-03-02"},
    )
    tech.post(
        url(callback, "decision"),
        {"decision-decision": "courtesy", "decision-reason": "First time."},
    )
    page = tech.get(url(callback)).content.decode()
    tech.post(url(callback, "close"))

    callback.refresh_from_db()
    assert callback.stage == "closed"
    assert callback.photos.count() == 1
    job = callback.promise.job
    assert job is not None
    assert {(each.reason, each.reference) for each in job.costs.all()} == {
        ("promise", callback.number)
    }
    assert job.promise_cost == Decimal(69)
    assert "$60.00" in page
    closed = tech.get(url(callback)).content.decode()
    assert "Cut back." in closed
    assert "<form" not in closed.partition("<main")[2].partition("</main>")[0]


def test_a_decision_without_findings_or_reason_is_refused_in_words(tech: Client) -> None:
    callback = make_callback()
    data = {"decision-decision": "covered", "decision-reason": "Within the terms."}

    response = tech.post(url(callback, "decision"), data)
    assert response.status_code == 422
    Callback.objects.update(findings="A gap.", cause="sill-gap", found_at=NOON)
    response = tech.post(url(callback, "decision"), {**data, "decision-reason": ""})

    assert response.status_code == 422
    assert "needs its reason" in response.content.decode()


def test_a_cost_without_a_job_behind_the_promise_is_refused(tech: Client) -> None:
    callback = make_callback()
    Promise.objects.update(job=None)
    callback.promise.home.jobs.update(stage="cancelled", fitted_on=None)
    data = {"text": "Paint", "quantity": "1", "unit_cost": "9.99", "on": "2026-03-02"}

    response = tech.post(
        url(callback, "material"), {f"material-{key}": value for key, value in data.items()}
    )

    assert response.status_code == 422
    assert "came without a job" in response.content.decode()


def test_the_promise_and_the_homes_story_show_it_at_once(tech: Client) -> None:
    callback = make_callback(
        findings="A gap.", cause="sill-gap", found_at=NOON, remedy="Closed it."
    )
    data = {"decision-decision": "covered", "decision-reason": "Our joint."}
    tech.post(url(callback, "decision"), data)

    tag = Template("{% load callback_tags %}{% callbacks_of promise %}")
    shown = tag.render(Context({"promise": callback.promise}))
    told = [entry.text for entry in story(callback.promise.home)]

    assert callback.number in shown
    assert "sill gap" in shown
    assert "covered: Our joint." in shown
    assert f"Callback {callback.number}: One on the kitchen wall." in told
    assert f"Callback {callback.number} is covered: sill gap. Our joint." in told


def test_the_tech_says_which_seal_opened(tech: Client) -> None:
    callback = make_callback()
    bare = tech.get(url(callback)).content.decode()
    job = callback.promise.job
    assert job
    detail = make_fitted_detail(job=job, place="Pipe by the gate", photographs=0)
    cut = make_fitted_detail(job=job, code="cut-back", place="Lantana", photographs=0)
    found = {"found-findings": "A joint is open.", "found-cause": "open-joint"}

    page = tech.get(url(callback)).content.decode()
    refused = tech.post(url(callback, "findings"), {**found, "found-detail": cut.pk})
    tech.post(url(callback, "findings"), {**found, "found-detail": detail.pk})
    kept = tech.get(url(callback)).content.decode()

    callback.refresh_from_db()
    assert "Which seal opened?" not in bare
    assert f"{detail}</option>" in page
    assert "Lantana</option>" not in page
    assert refused.status_code == 422
    assert callback.detail == detail
    assert f'<option value="{detail.pk}" selected>' in kept
    told = [entry.text for entry in story(job.home)]
    assert f"Callback {callback.number}: the seal opened at {detail}." in told


def test_promise_and_callback_lead_to_each_other(tech: Client) -> None:
    callback = make_callback()
    address = callback.promise.get_absolute_url()

    assert address in tech.get(url(callback)).content.decode()
    assert callback.get_absolute_url() in tech.get(address).content.decode()


def test_the_round_leads_to_the_callback(tech: Client) -> None:
    callback = make_callback()
    crew = make_crew()
    crew.members.add(make_user(role="tech"))
    make_booking(crew=crew, home=callback.promise.home, purpose="callback")
    make_callback(promise=callback.promise, number="CB-2025-0001", **DONE)

    page = tech.get(reverse("round"), {"on": "2026-03-02"}).content.decode()

    assert callback.get_absolute_url() in page
    assert "CB-2025-0001" not in page


DONE: dict[str, Any] = {
    "findings": "x",
    "cause": "not-found",
    "decision": "courtesy",
    "reason": "x",
    "decided_at": NOON,
    "closed_at": NOON,
}


def test_lists_all_or_only_the_open_ones(office: Client) -> None:
    is_open, closed = make_callback(), make_callback(**DONE)

    everything = office.get(reverse("callbacks")).content.decode()
    waiting = office.get(reverse("callbacks"), {"only": "open"}).content.decode()

    assert is_open.number in everything
    assert closed.number in everything
    assert is_open.number in waiting
    assert closed.number not in waiting


def test_an_empty_list_says_so(office: Client) -> None:
    assert "Every promise is kept" in office.get(reverse("callbacks")).content.decode()


def test_the_list_turns_its_pages_and_asks_a_fixed_number_of_questions(
    office: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    promise = make_promise()
    for number in range(60):
        make_callback(
            promise=promise,
            number=f"CB-2024-{number:04d}",
            reported_at=NOON - timedelta(hours=number),
        )

    with django_assert_num_queries(5):  # Session, person, permissions, count, rows.
        first = office.get(reverse("callbacks")).content.decode()
    third = office.get(reverse("callbacks"), {"page": "3"}).content.decode()

    assert "CB-2024-0024" in first
    assert "CB-2024-0025" not in first
    assert "CB-2024-0059" in third


@pytest.mark.parametrize("name", POSTS)
def test_a_link_alone_changes_nothing(tech: Client, name: str) -> None:
    assert tech.get(url(make_callback(), name)).status_code == 405


@pytest.mark.parametrize("name", POSTS)
def test_what_is_not_there_is_not_found(tech: Client, name: str) -> None:
    assert tech.post(reverse(f"callback-{name}", args=["CB-1999-0001"])).status_code == 404
