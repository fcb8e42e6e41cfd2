"""The home is sold: both households confirm, the promise goes over, old papers are marked."""

import json
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from customers.actions import Said, change_owner
from customers.links import make_link
from customers.models import Household, HouseholdLink
from tests.factories import (
    NOON,
    TODAY,
    make_callback,
    make_household,
    make_job,
    make_photo,
    make_terms,
)
from tests.warranties.certified import (
    address_of,
    make_certificate,
    make_open_promise,
    make_proved_job,
    pdf_of,
)
from tests.warranties.papers import text_of
from warranties.actions import announcing, promising, transferring, watching
from warranties.certificate import print_check_plan, verify
from warranties.certificate.checks import check_plan_record
from warranties.certificate.verdict import attached_record
from warranties.models import CheckPlan, Notice, Promise, Reading, Transfer
from warranties.notices.writing import write

pytestmark = pytest.mark.django_db
SOLD = NOON + timedelta(days=90)


def start(promise: Promise) -> Transfer:
    move = transferring.Move(make_household(name="Okafor"), SOLD.date())
    return transferring.start_transfer(promise=promise, move=move, at=SOLD)


def test_both_say_yes_and_it_goes_over() -> None:
    certificate = make_certificate()
    transfer = start(certificate.promise)

    transferring.agree(transfer=transfer, household=transfer.new, at=SOLD)
    promise = Promise.objects.get()
    assert promise.holder == transfer.old
    transferring.agree(transfer=transfer, household=transfer.old, at=SOLD)

    promise.refresh_from_db()
    assert promise.holder == transfer.new
    assert promise.home.household() == transfer.new
    assert CheckPlan.objects.get().holder == transfer.new
    new = promise.certificates.current().get()
    assert (new.edition, new.record["holder"]) == (2, "Okafor")
    verdict = verify(pdf_of(certificate))
    assert verdict.standing == "replaced"
    assert verdict.findings == ("The promise has passed to the home's next household.",)


PRIVATE = ("szerban", "555-0177", "5550177", "zelda", "nursery", "karl")


def live_there(promise: Promise) -> None:
    """What a household leaves on record: its words, its people, its photographs, its ways."""
    home, holder = promise.home, promise.holder
    holder.mail, holder.phone = "szerban@example.com", "+16025550177"
    holder.save()
    shot = make_photo(home=home, caption="Zelda's nursery")
    for closed_at in (None, SOLD):
        callback = make_callback(
            promise=promise,
            report="Zelda found one in the nursery.",
            findings="By Zelda's bed.",
            remedy="Sealed in the nursery.",
            cause="open-joint",
            decision="covered",
            reason="Zelda is right.",
            decided_at=NOON,
            closed_at=closed_at,
        )
        callback.photos.add(shot)
    reading = Reading(
        plant=home.plants.get(), on=TODAY, clearance_mm=Decimal(300), way="household", photo=shot
    )
    watching.keep_reading(reading=reading, today=TODAY)
    work = announcing.Work(kind="pool", on=SOLD.date(), note="Call my brother Karl.")
    announcing.announce(home=home, work=work, told_by="household", today=TODAY, at=NOON)


def seen_by(client: Client, household: Household, promise: Promise) -> Iterator[tuple[str, str]]:
    """Everything that the new holder gets to see: pages, papers, what is attached, mails."""
    at = SOLD + timedelta(days=1)
    with time_machine.travel(at, tick=False):
        link = make_link(household=household, purpose="my home", at=at, days=9)
        promising.print_out(certificate=promise.certificates.current().get())
        for name in ("", f"homes/{promise.home_id}/works/", f"sold/{promise.number}/"):
            yield f"page {name}", client.get(link + name).content.decode()
        paper = client.get(f"{link}certificates/{promise.number}/")
        pdf = b"".join(paper.streaming_content)  # type: ignore[attr-defined]
    plan = CheckPlan.objects.get()
    yield "certificate", text_of(pdf)
    yield "its record", json.dumps(attached_record(pdf))
    yield "check plan", text_of(print_check_plan(plan)) + json.dumps(check_plan_record(plan))
    yield "check", client.get(reverse("check", args=[promise.number])).content.decode()
    for notice in Notice.objects.filter(household=household):
        yield notice.kind, str(write(notice, at=at).blocks)


def test_no_personal_data_of_the_old_household_goes_along(client: Client) -> None:
    promise = make_certificate(name="Szerban").promise
    live_there(promise)
    transfer = start(promise)
    Household.objects.filter(pk=transfer.new.pk).update(phone="+16025550188")
    with time_machine.travel(SOLD, tick=False):
        page = client.get(address_of(transfer, transfer.new)).content.decode()
    transferring.agree(transfer=transfer, household=transfer.new, at=SOLD)
    transferring.agree(transfer=transfer, household=transfer.old, at=SOLD)
    promise.refresh_from_db()

    seen = [("transfer", page), *seen_by(client, transfer.new, promise)]

    told = {where: [each for each in PRIVATE if each in text.lower()] for where, text in seen}
    assert {where: found for where, found in told.items() if found} == {}
    named = {where for where, text in seen if promise.number in text}
    assert {"transfer", "page ", "certificate", "its record", "check"} <= named
    assert "A pool" in dict(seen)[f"page homes/{promise.home_id}/works/"]


def test_a_change_of_owner_starts_it() -> None:
    promise = make_open_promise()
    buyer = make_household()

    change_owner(home=promise.home, household=buyer, said=Said({}, ""), on=SOLD.date(), at=SOLD)

    transfer = Transfer.objects.get()
    assert (transfer.promise, transfer.new, transfer.started_by) == (promise, buyer, "office")


def test_a_promise_on_ownership_ends_with_the_sale() -> None:
    make_terms(basis="ownership", made_at=NOON - timedelta(days=9))
    promise = make_open_promise()

    change_owner(
        home=promise.home, household=make_household(), said=Said({}, ""), on=SOLD.date(), at=SOLD
    )

    promise.refresh_from_db()
    assert (promise.state, promise.ended_on) == ("ended", SOLD.date())
    with pytest.raises(transferring.NotTransferable, match="has ended"):
        start(promise)


def test_it_is_on_its_way_once() -> None:
    promise = make_open_promise()
    start(promise)

    with pytest.raises(transferring.NotTransferable, match="already"):
        start(promise)


def test_dropped_links_open_nothing(client: Client) -> None:
    transfer = start(make_open_promise())

    transferring.drop_transfer(transfer=transfer, at=SOLD)

    assert client.get(address_of(transfer, transfer.old)).status_code == 404
    with pytest.raises(transferring.NotTransferable, match="closed"):
        transferring.agree(transfer=transfer, household=transfer.old, at=SOLD)


def test_each_household_confirms_on_its_own_page(client: Client) -> None:
    promise = make_certificate(name="Szerban").promise
    transfer = start(promise)
    Transfer.objects.update(started_at=SOLD)
    old, new = (address_of(transfer, each) for each in (transfer.old, transfer.new))
    HouseholdLink.objects.update(expires_at=SOLD + timedelta(days=36_500))

    seen = client.get(new).content.decode()
    assert client.post(new).status_code == 200
    assert client.post(old).status_code == 200

    assert "Szerban" not in seen
    promise.refresh_from_db()
    assert promise.holder == transfer.new


def test_a_later_owner_extends_the_same_promise() -> None:
    promise = make_open_promise()
    transfer = start(promise)
    transferring.agree(transfer=transfer, household=transfer.old, at=SOLD)
    transferring.agree(transfer=transfer, household=transfer.new, at=SOLD)
    home = Promise.objects.get().home
    job, proof = make_proved_job(job=make_job(home=home, kind="extension"), exceptions="None left")

    assert promising.open_promise(job=job, proof=proof, at=SOLD) == promise
