"""The check plan is a service contract of its own (16 CFR 700.11(c))."""

from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import NOON
from tests.warranties.certified import make_open_promise
from warranties.actions import planning
from warranties.models import CheckPlan

pytestmark = pytest.mark.django_db


def test_the_plan_opens_beside_the_promise_with_its_visits() -> None:
    promise = make_open_promise()

    plan = CheckPlan.objects.get()
    assert (plan.home, plan.holder, plan.terms.paper) == (promise.home, promise.holder, "checks")
    assert (plan.starts_on, plan.ends_on) == (date(2026, 3, 2), date(2031, 3, 2))
    assert [check.due_on for check in plan.checks.all()] == [
        date(2026, 4, 1),
        *(date(year, 3, 2) for year in range(2027, 2032)),
    ]


def test_a_running_plan_stands() -> None:
    promise = make_open_promise()
    later = NOON + timedelta(days=400)

    again = planning.open_check_plan(
        home=promise.home, holder=promise.holder, shown_at=later, at=later
    )

    assert again == CheckPlan.objects.get()


def test_ending_it_takes_away_what_was_not_made_and_leaves_the_promise() -> None:
    promise = make_open_promise()
    plan = CheckPlan.objects.get()
    made = plan.checks.all()[0]
    made.done_on = date(2026, 4, 2)
    made.save()

    planning.end_check_plan(plan=plan, on=date(2026, 6, 1))

    assert list(plan.checks.all()) == [made]
    promise.refresh_from_db()
    assert promise.state == "in-force"


def test_its_paper_is_another_one(office: Client) -> None:
    make_open_promise()
    plan = CheckPlan.objects.get()

    response = office.get(reverse("check-plan", args=[plan.number]))

    assert response.status_code == 200
    assert response.content.startswith(b"%PDF-1.7")
