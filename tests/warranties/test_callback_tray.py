"""Callbacks in the office's tray and among the acts of a home."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from tests.factories import NOON, TODAY, make_callback, make_promise
from warranties.models import Promise
from warranties.tray import waiting_callbacks

pytestmark = pytest.mark.django_db
LOOKED_AT: dict[str, Any] = {"findings": "A gap.", "cause": "sill-gap", "found_at": NOON}
DECIDED: dict[str, Any] = {
    **LOOKED_AT,
    "decision": "covered",
    "reason": "Ours.",
    "decided_at": NOON,
}


@pytest.mark.parametrize(
    ("fields", "verb"),
    [({}, "send somebody"), (LOOKED_AT, "decide it"), (DECIDED, "close it")],
    ids=["reported", "looked at", "decided"],
)
def test_each_open_callback_waits_for_its_next_step(fields: dict[str, Any], verb: str) -> None:
    callback = make_callback(**fields)
    make_callback(**DECIDED, closed_at=NOON)

    (waiting,) = waiting_callbacks(NOON)

    assert callback.number in waiting.text
    assert (waiting.verb, waiting.address) == (verb, callback.get_absolute_url())
    assert (waiting.since, waiting.overdue) == (TODAY, False)


def test_a_report_left_alone_is_late_and_one_of_a_sting_at_once() -> None:
    make_callback(reported_at=NOON - timedelta(days=3))
    make_callback(stung=True)
    make_callback(reported_at=NOON - timedelta(days=2))

    assert [each.overdue for each in waiting_callbacks(NOON)] == [True, False, True]


def test_asks_one_question(django_assert_num_queries: DjangoAssertNumQueries) -> None:
    for _ in range(3):
        make_callback()

    with django_assert_num_queries(1):
        waiting_callbacks(NOON)


def test_the_tray_shows_it(office: Client) -> None:
    callback = make_callback()

    assert callback.get_absolute_url() in office.get(reverse("tray")).content.decode()


def test_a_homes_sheet_leads_to_logging_one_while_the_promise_stands(office: Client) -> None:
    promise = make_promise()
    address = reverse("callback-new", args=[promise.number])

    standing = office.get(promise.home.get_absolute_url()).content.decode()
    Promise.objects.update(state="ended", ended_on=TODAY)
    ended = office.get(promise.home.get_absolute_url()).content.decode()

    assert address in standing
    assert address not in ended
