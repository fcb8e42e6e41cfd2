"""The record of a callback proposes who pays."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from customers.models import Ownership
from shared.models import User
from tests.factories import (
    NOON,
    TODAY,
    make_household,
    make_photo,
    make_photo_file,
    make_promise,
    make_terms,
    make_user,
)
from tests.warranties.certified import make_open_promise
from warranties.actions import announcing, callbacks, promising, standing
from warranties.actions.bouncing import note_bounce
from warranties.actions.callbacks import NotDecidable
from warranties.bounces import Report
from warranties.decision import DID_THEY_CALL, UNPRINTED, UNTOLD
from warranties.models import Callback, Notice, Promise, Reading
from warranties.proposing import READ_THE_PAPER, WHICH_PLANT, proposal_for

pytestmark = pytest.mark.django_db
REPORTED = NOON + timedelta(days=200)


def make_found(promise: Promise, *, cause: str, place: str = "") -> Callback:
    callback = callbacks.log_callback(promise=promise, report="One by the door.", at=REPORTED)
    Callback.objects.filter(pk=callback.pk).update(
        cause=cause, place=place, findings="Seen.", found_at=REPORTED
    )
    callback.refresh_from_db()
    return callback


def settle(callback: Callback, decision: str) -> None:
    callbacks.decide(
        callback=callback, decision=decision, reason="So it is.", by=make_user(), at=REPORTED
    )


def tell(promise: Promise, days: int, **fields: Any) -> Notice:
    given = {
        "household": promise.holder,
        "plant": promise.home.plants.get(mark="plant-1"),
        "kind": "trim-back",
        "occasion": f"trim-back:plant-1:{days}",
        "state": "sent",
        "sent_at": NOON + timedelta(days=days),
        **fields,
    }
    return Notice.objects.create(home=promise.home, channel="mail", send_at=NOON, **given)


def came_back(notice: Notice) -> Report:
    return Report(
        address=notice.household.mail,
        outcome="failed",
        no_such=False,
        status="5.0.0",
        said="550 refused",
        message_id=notice.message_id,
    )


def make_touching(promise: Promise) -> Callback:
    """A callback whose photograph shows the one plant touching."""
    callback = make_found(promise, cause="plant-contact", place="plant-1")
    callback.photos.add(make_photo(home=promise.home, caption=f"Callback {callback.number}, 1"))
    return callback


def test_a_plant_that_nobody_was_told_of_is_covered() -> None:
    callback = make_found(make_open_promise(), cause="plant-contact", place="plant-1")

    assert proposal_for(callback).decision == "covered"


def test_a_plant_that_they_were_told_of_is_chargeable_until_it_was_cut() -> None:
    promise = make_open_promise()
    tell(promise, 100)
    callback = make_touching(promise)
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


def test_what_the_household_before_them_was_told_does_not_count() -> None:
    promise = make_open_promise()
    tell(promise, 100, household=make_household())
    callback = make_touching(promise)

    assert (proposal_for(callback).decision, proposal_for(callback).bar) == ("covered", UNTOLD)
    Ownership.objects.create(
        home=promise.home, household=Notice.objects.get().household, since=NOON.date()
    )
    promise.refresh_from_db()
    assert proposal_for(Callback.objects.get()).decision == "chargeable"  # They own it together.


def test_a_notice_that_went_out_in_another_counts_and_one_that_came_back_does_not() -> None:
    promise = make_open_promise()
    carrier = tell(promise, 100, plant=None)
    alone = tell(promise, 90, state="joined", joined_to=carrier)
    callback = make_touching(promise)
    assert proposal_for(callback).decision == "chargeable"

    note_bounce(report=came_back(carrier), at=NOON)
    assert proposal_for(callback).bar == UNTOLD
    Notice.objects.filter(pk=alone.pk).update(joined_to=None, state="sent", sent_at=NOON)
    Notice.objects.filter(pk=alone.pk).update(bounced_at=NOON)
    assert proposal_for(callback).bar == UNTOLD


def test_what_the_tech_cut_when_they_came_does_not_undo_the_notice() -> None:
    promise = make_open_promise()
    tell(promise, 100)
    callback = make_found(promise, cause="plant-contact", place="plant-1")
    on = REPORTED.astimezone(promise.home.tz).date()
    Reading.objects.create(
        plant=promise.home.plants.get(), on=on, clearance_mm=0, trimmed_to_mm=400
    )

    proposal = proposal_for(callback)

    assert proposal.decision == "chargeable"
    assert "It stood 0 mm off on 2026-09-18." in [str(each) for each in proposal.facts]


def test_an_exception_of_the_proof_is_named_once_a_certificate_has_told_of_it() -> None:
    promise = make_open_promise()
    callback = make_found(promise, cause="open-joint", place="leg 2")
    assert proposal_for(callback).bar == UNPRINTED

    promising.issue_certificate(promise=promise, at=NOON)

    proposal = proposal_for(callback)
    assert (proposal.decision, proposal.clause) == ("chargeable", "exceptions")
    assert "The gas meter at leg 2" in str(proposal.facts[0])
    assert str(proposal.facts[1]) == "It stands on the certificate of 2026-03-02."


def test_an_exception_at_leg_12_is_none_at_leg_1() -> None:
    promise = make_open_promise()
    promise.exceptions = "The gas meter at leg 12."
    promise.save()
    promising.issue_certificate(promise=promise, at=NOON)

    assert proposal_for(make_found(promise, cause="open-joint", place="leg 1")).clause == "covers"
    assert proposal_for(make_found(promise, cause="open-joint", place="Leg 12")).clause == (
        "exceptions"
    )


def test_the_third_repair_that_fails_under_a_full_warranty_gives_the_choice() -> None:
    promise = make_open_promise()
    promise.terms.title = "Full warranty for as long as the house stands"
    promise.terms.save()
    for _ in range(3):
        earlier = make_found(promise, cause="open-joint", place="Leg 1")
        settle(earlier, "covered")
        Callback.objects.filter(pk=earlier.pk).update(remedy="Sealed.", closed_at=REPORTED)

    here = make_found(promise, cause="open-joint", place="leg 1")
    there = make_found(promise, cause="open-joint", place="leg 3")

    assert "before, 3 times" in str(proposal_for(here).facts[1])
    assert len(proposal_for(there).facts) == 1


def test_work_that_was_announced_is_a_call() -> None:
    promise = make_open_promise()
    announcing.announce(
        home=promise.home,
        work=announcing.Work(kind="dish", on=TODAY + timedelta(days=99)),
        told_by="household",
        today=TODAY,
        at=NOON,
    )
    callback = make_found(promise, cause="new-line")

    proposal = proposal_for(callback)

    assert proposal.decision == "covered"
    assert "a satellite dish or a new line" in str(proposal.facts[0])


def test_nobody_ends_a_promise_afterwards_to_charge() -> None:
    promise = make_open_promise()
    callback = make_found(promise, cause="open-joint", place="leg 1")
    standing.end(
        promise=promise,
        on=TODAY,
        reason="Not paid.",
        by=make_user(),
        at=REPORTED + timedelta(days=1),
    )

    assert proposal_for(Callback.objects.get(pk=callback.pk)).clause == "covers"


def test_the_page_says_it_in_the_techs_language_with_the_clause_as_printed(tech: Client) -> None:
    User.objects.filter(username="tech").update(language="es")
    promise = make_open_promise()
    tell(promise, 100)
    promise.changes.create(at=NOON + timedelta(days=10), kind="suspended")
    callback = make_touching(promise)

    page = tech.get(callback.get_absolute_url()).content.decode()

    assert "La promesa descansa desde el 12 de marzo de 2026" in page
    assert f"Fotografía: Callback {callback.number}, 1" in page
    assert "after 3 notices from us" in page


def test_the_page_shows_the_proposal_with_its_clause(office: Client) -> None:
    callback = make_found(make_open_promise(), cause="open-joint", place="leg 1")

    page = office.get(callback.get_absolute_url()).content.decode()

    assert "The terms propose: covered" in page
    assert "We promise that they stay bonded and whole" in page


def test_what_the_forms_ask_reaches_the_proposal(office: Client) -> None:
    callback = make_found(make_open_promise(), cause="new-line")
    assert proposal_for(callback).missing == (DID_THEY_CALL,)
    found = {"found-findings": "A cable.", "found-cause": "new-line", "found-called_before": "no"}

    page = reverse("callback-findings", args=[callback.number])
    office.post(page, {**found, "found-taken": make_photo_file()})

    callback.refresh_from_db()
    assert callback.called_before is False
    proposal = proposal_for(callback)
    assert (proposal.decision, proposal.clause) == ("chargeable", "changes")
    shown = office.get(callback.get_absolute_url()).content.decode()
    assert '<option value="no" selected>' in shown


def test_damage_by_others_is_charged_only_where_it_is_shown() -> None:
    callback = make_found(make_open_promise(), cause="lifted-strip", place="leg 1")
    callback.damaged_by_others = True
    assert len(proposal_for(callback).missing) == 2

    callback.shown_how = "The painter's bill of June."
    callback.photos.create(
        home=callback.promise.home, width=1, height=1, sha256="0" * 64, caption="Callback 1"
    )

    proposal = proposal_for(callback)
    assert (proposal.decision, proposal.clause) == ("chargeable", "damage")
    assert [str(each) for each in proposal.facts] == [
        "The painter's bill of June.",
        "Photograph: Callback 1",
    ]


def test_a_price_is_agreed_before_the_visit_and_never_after(office: Client) -> None:
    promise = make_open_promise()
    page = reverse("callback-new", args=[promise.number])
    office.post(page, {"report": "Ants.", "price_agreed": "95"})
    callback = promise.callbacks.get()
    price = reverse("callback-price", args=[callback.number])

    assert office.post(price, {"price-price_agreed": "80"}).status_code == 302
    callback.refresh_from_db()
    Callback.objects.update(found_at=REPORTED, findings="Ants.", cause="not-a-crawler")
    late = office.post(price, {"price-price_agreed": "500"})

    assert callback.price_agreed == Decimal(80)
    assert late.status_code == 422
    callback.refresh_from_db()
    assert callback.price_agreed == Decimal(80)
    assert proposal_for(callback).decision == "chargeable"


def test_nothing_is_charged_that_they_were_not_told_of() -> None:
    callback = make_found(make_open_promise(), cause="plant-contact", place="plant-1")

    with pytest.raises(NotDecidable, match="No notice of this plant was sent to them before"):
        settle(callback, "chargeable")

    callback.refresh_from_db()
    assert callback.decision == ""


def test_the_proposal_of_that_day_is_kept_beside_the_decision(office: Client) -> None:
    callback = make_found(make_open_promise(), cause="open-joint", place="leg 1")

    settle(callback, "courtesy")
    callbacks.record_findings(
        callback=callback,
        found=callbacks.Findings(findings="Seen.", cause="open-joint", remedy="Sealed."),
        photographs=[],
        by=make_user(),
        at=REPORTED,
    )
    callbacks.close(callback=callback, at=REPORTED)

    assert (callback.proposed, callback.proposed_by) == ("covered", "covers")
    assert "a person decided otherwise" in office.get(callback.get_absolute_url()).content.decode()


def test_a_rest_that_was_over_when_they_called_does_not_count() -> None:
    promise = make_open_promise()
    promise.changes.create(at=NOON + timedelta(days=10), kind="suspended")
    callback = make_found(promise, cause="open-joint", place="leg 1")
    assert proposal_for(callback).clause == "suspend"

    promise.changes.create(at=NOON + timedelta(days=20), kind="reinstated")

    assert proposal_for(callback).clause == "covers"


def test_a_promise_of_before_is_decided_by_its_own_paper() -> None:
    terms = make_terms(version=0, body="## What is promised [covers]\nWhat the paper says.")
    promise = make_promise(terms=terms)
    promise.changes.create(at=NOON, kind="opened", reason="Its terms: all joints for ten years.")
    callback = make_found(promise, cause="open-joint", place="leg 1")

    proposal = proposal_for(callback)

    assert (proposal.decision, proposal.missing) == ("", (READ_THE_PAPER,))
    assert "all joints for ten years" in proposal.text
    settle(callback, "chargeable")
    assert (callback.decision, callback.proposed) == ("chargeable", "")


def test_like_cases_decided_unlike_stand_on_a_page(office: Client, tech: Client) -> None:
    promise = make_open_promise()
    alike = [make_found(promise, cause="open-joint", place="leg 1") for _ in range(2)]
    settle(alike[0], "covered")
    settle(alike[1], "courtesy")
    other = make_found(promise, cause="wall-top", place="leg 1")
    settle(other, "covered")
    address = reverse("callbacks-unlike")

    page = office.get(address).content.decode()

    assert address in office.get(reverse("callbacks")).content.decode()
    assert all(each.number in page for each in alike)
    assert other.number not in page
    assert tech.get(address).status_code == 403


def test_no_unlike_cases_say_so(office: Client) -> None:
    assert "were decided alike" in office.get(reverse("callbacks-unlike")).content.decode()
