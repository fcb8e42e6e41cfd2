"""The home is sold: both households confirm, the promise goes over, old papers are marked."""

from datetime import timedelta

import pytest
from django.test import Client

from customers.actions import Said, change_owner
from customers.models import HouseholdLink
from tests.factories import NOON, make_household, make_job, make_terms
from tests.warranties.certified import (
    address_of,
    make_certificate,
    make_open_promise,
    make_proved_job,
    pdf_of,
)
from warranties.actions import promising, transferring
from warranties.certificate import verify
from warranties.models import CheckPlan, Promise, Transfer

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


def test_no_personal_data_of_the_old_household_goes_along() -> None:
    certificate = make_certificate(name="Szerban")
    transfer = start(certificate.promise)
    transferring.agree(transfer=transfer, household=transfer.new, at=SOLD)
    transferring.agree(transfer=transfer, household=transfer.old, at=SOLD)

    new = promising.print_out(certificate=Promise.objects.get().certificates.current().get())

    assert "Szerban" not in str(new.record)


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
