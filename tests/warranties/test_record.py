from datetime import timedelta
from decimal import Decimal

import pytest
import time_machine
from django.test import Client
from django.utils.html import escape
from pytest_django import DjangoAssertNumQueries

from customers.models import Plan
from jobs.models import Proof
from tests.customers.plan.houses import feature, house
from tests.factories import (
    NOON,
    TODAY,
    make_callback,
    make_home,
    make_job,
    make_plan,
    make_plant,
    make_promise,
    make_user,
    make_watch,
)
from warranties.homes import home_page
from warranties.models import Notice, Reading
from warranties.record import home_record

pytestmark = pytest.mark.django_db


def test_plants_stand_with_the_closest_first_and_those_never_measured_before() -> None:
    home = make_home()
    for name, readings in (
        ("far", [(TODAY, 600, None)]),
        ("near", [(TODAY, 40, None)]),
        ("trimmed", [(TODAY, 10, 300)]),
        ("grown since", [(TODAY - timedelta(days=90), 10, 900), (TODAY, 20, None)]),
        ("never", []),
    ):
        plant = make_plant(home=home, name=name)
        for day, clear, trimmed in readings:
            Reading.objects.create(plant=plant, on=day, clearance_mm=clear, trimmed_to_mm=trimmed)
    make_plant(home=home, name="gone", removed_on=TODAY)

    record = home_record(home, on=TODAY)

    assert [each.plant.name for each in record.plants] == [
        "never",
        "grown since",
        "near",
        "trimmed",
        "far",
    ]


def test_tells_the_last_proof_the_notices_and_the_other_callbacks() -> None:
    promise = make_promise()
    home = promise.home
    Proof.objects.create(job=make_job(home=home), proved_at=NOON - timedelta(days=400))
    newest = Proof.objects.create(job=make_job(home=home), proved_at=NOON)
    for number, state in enumerate(("sent", "planned", "held")):
        Notice.objects.create(
            household=promise.holder,
            home=home,
            kind="trim-back",
            occasion=f"trim-back:{number}",
            channel="mail",
            send_at=NOON,
            sent_at=NOON if state == "sent" else None,
            state=state,
        )
    callback, other = make_callback(promise=promise), make_callback(promise=promise)
    make_callback()

    record = home_record(home, on=TODAY, beside=callback)

    assert record.proof == newest
    assert [notice.state for notice in record.notices] == ["sent"]
    assert record.earlier == [other]
    assert record.ways_in is None


def test_asks_the_newest_plan_for_ways_in() -> None:
    home = make_home()
    make_plan(home=home, document=house(), stage="fitted")
    assert home_record(home, on=TODAY).ways_in == []

    hedge = feature("plant-1", "plant on the ground", name="hedge", clearance_mm=Decimal(0))
    make_plan(home=home, document=house(hedge), stage="today")

    assert home_record(home, on=TODAY).ways_in == ["ground > hedge > building"]


def test_every_page_tells_the_same_of_a_plant_that_has_grown_to_the_wall(client: Client) -> None:
    promise = make_promise(starts_on=TODAY)
    home = promise.home
    hedge = feature("plant-1", "plant on the ground", name="hedge", clearance_mm=Decimal(305))
    make_plan(home=home, document=house(hedge), stage="fitted")
    make_watch(plant=make_plant(home=home, mark="plant-1", name="hedge"))
    later = NOON + timedelta(days=900)

    with time_machine.travel(later, tick=False):
        client.force_login(make_user(role="office"))
        sheet = client.get(home.get_absolute_url()).content.decode()
        page = client.get(promise.get_absolute_url()).content.decode()
        asked = home_page(home, promise.holder, today=later.date())

    way = "ground > hedge > building"
    assert home_record(home, on=TODAY).ways_in == []
    assert home_record(home, on=later.date()).ways_in == [way]
    for shown in (sheet, page):
        assert "Probably open" in shown
        assert escape(way) in shown
    assert asked.state == "open"


def test_my_home_calls_a_ring_closed_that_the_sheet_calls_closed() -> None:
    promise = make_promise(starts_on=TODAY)
    make_plan(home=promise.home, document=house(), stage="fitted")
    make_watch(plant=make_plant(home=promise.home), opens_on=TODAY)

    assert home_page(promise.home, promise.holder, today=TODAY).state == "soon"


def test_a_plan_that_cannot_be_read_is_no_plan() -> None:
    home = make_home()
    Plan.objects.create(home=home, stage="fitted", document={"schema": 99})

    assert home_record(home, on=TODAY).ways_in is None


def test_asks_the_same_number_of_questions_for_any_number_of_plants(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    home = make_home()
    for _ in range(5):
        plant = make_plant(home=home)
        Reading.objects.create(plant=plant, on=TODAY, clearance_mm=100)

    with django_assert_num_queries(6):  # Plants, readings, proof, notices, callbacks, plans.
        home_record(home, on=TODAY)
