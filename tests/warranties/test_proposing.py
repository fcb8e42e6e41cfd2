"""The record of a callback proposes who pays."""

from datetime import date, timedelta

import pytest
from django.test import Client

from tests.factories import NOON
from tests.warranties.certified import make_open_promise
from warranties.actions import callbacks
from warranties.models import Callback, Notice, Promise, Reading
from warranties.proposing import WHICH_PLANT, proposal_for

pytestmark = pytest.mark.django_db
REPORTED = NOON + timedelta(days=200)


def make_found(promise: Promise, *, cause: str, place: str = "") -> Callback:
    callback = callbacks.log_callback(promise=promise, report="One by the door.", at=REPORTED)
    Callback.objects.filter(pk=callback.pk).update(
        cause=cause, place=place, findings="Seen.", found_at=REPORTED
    )
    callback.refresh_from_db()
    return callback


def tell(promise: Promise, days: int) -> None:
    Notice.objects.create(
        household=promise.holder,
        home=promise.home,
        plant=promise.home.plants.get(),
        kind="trim-back",
        occasion=f"trim-back:plant-1:{days}",
        channel="mail",
        send_at=NOON,
        state="sent",
        sent_at=NOON + timedelta(days=days),
    )


def test_a_plant_that_nobody_was_told_of_is_covered() -> None:
    callback = make_found(make_open_promise(), cause="plant-contact", place="plant-1")

    assert proposal_for(callback).decision == "covered"


def test_a_plant_that_they_were_told_of_is_chargeable_until_it_was_cut() -> None:
    promise = make_open_promise()
    tell(promise, 100)
    callback = make_found(promise, cause="plant-contact", place="plant-1")
    assert proposal_for(callback).decision == "chargeable"

    Reading.objects.create(
        plant=promise.home.plants.get(), on=date(2026, 7, 1), clearance_mm=0, trimmed_to_mm=400
    )

    assert proposal_for(callback).decision == "covered"


def test_a_notice_about_another_plant_does_not_count() -> None:
    promise = make_open_promise()
    tell(promise, 100)
    promise.home.plants.create(mark="plant-2", name="lantana", kind="lantana")

    other = make_found(promise, cause="plant-contact", place="plant-2")
    unnamed = make_found(promise, cause="plant-contact")

    assert proposal_for(other).decision == "covered"
    assert proposal_for(unnamed).missing == (WHICH_PLANT,)


def test_an_exception_of_the_proof_is_named() -> None:
    callback = make_found(make_open_promise(), cause="open-joint", place="leg 2")

    proposal = proposal_for(callback)

    assert (proposal.decision, proposal.clause) == ("chargeable", "exceptions")
    assert "The gas meter at leg 2" in proposal.facts[0]


def test_the_page_shows_the_proposal_with_its_clause(office: Client) -> None:
    callback = make_found(make_open_promise(), cause="open-joint", place="leg 1")

    page = office.get(callback.get_absolute_url()).content.decode()

    assert "The terms propose: covered" in page
    assert "We promise that they stay bonded and whole" in page
