"""A promise names every owner of its home, and each of them sees it."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils.timezone import now

from customers.actions import Said, add_owner, change_owner
from customers.links import make_link
from customers.models import Household
from tests.factories import NOON, TODAY, make_household
from tests.warranties.certified import address_of, make_certificate, make_open_promise
from warranties.actions import promising, standing, transferring
from warranties.models import Notice, Promise, Transfer

pytestmark = pytest.mark.django_db
SOLD = NOON + timedelta(days=90)


def beside(promise: Promise, name: str) -> Household:
    household = make_household(name=name)
    add_owner(home=promise.home, household=household, said=Said({}, "not asked"), on=TODAY, at=NOON)
    return household


def test_the_certificate_and_the_page_name_every_owner(office: Client) -> None:
    promise = make_open_promise(name="Ana Ortega")
    beside(promise, "Ines Duarte")

    certificate = promising.issue_certificate(promise=promise, at=NOON)

    assert certificate.record["holder"] == "Ana Ortega, Ines Duarte"
    page = office.get(promise.get_absolute_url()).content.decode()
    assert "Ana Ortega, Ines Duarte" in page


def test_an_owner_who_joined_is_a_change_of_name() -> None:
    promise = make_certificate(name="Ana Ortega").promise
    beside(promise, "Ines Duarte")

    standing.issue_again(promise=promise, reason="Ines joined.", by=None, at=NOON)

    assert promise.changes.filter(kind="renamed").exists()


def test_each_owner_sees_the_promise_and_its_certificate(client: Client) -> None:
    promise = make_certificate(name="Ana Ortega").promise
    link = make_link(household=beside(promise, "Ines"), purpose="my home", at=now(), days=9)
    stranger = make_link(household=make_household(), purpose="my home", at=now(), days=9)

    assert promise.number in client.get(link).content.decode()
    mine = client.get(f"{link}certificates/{promise.number}/")
    b"".join(mine)  # read to its end, the file is closed
    assert mine.status_code == 200
    assert client.get(f"{stranger}certificates/{promise.number}/").status_code == 404


def test_while_a_sale_is_not_confirmed_the_new_owner_is_neither_named_nor_shown_it(
    client: Client,
) -> None:
    promise = make_certificate(name="Ana Ortega").promise
    buyer = make_household(name="Okafor")
    change_owner(home=promise.home, household=buyer, said=Said({}, ""), on=SOLD.date(), at=SOLD)

    again = promising.issue_certificate(promise=Promise.objects.get(), at=SOLD)

    assert again.record["holder"] == "Ana Ortega"
    assert not Promise.objects.shown_to(buyer).exists()


def start(promise: Promise) -> Transfer:
    move = transferring.Move(make_household(name="Okafor"), SOLD.date())
    return transferring.start_transfer(promise=promise, move=move, at=SOLD)


def test_every_old_owner_says_yes_before_it_goes_over(client: Client) -> None:
    promise = make_certificate(name="Ana Ortega").promise
    ines = beside(promise, "Ines Duarte")
    transfer = start(promise)
    assert set(
        Notice.objects.filter(kind="transfer").values_list("household__name", flat=True)
    ) == {
        "Ana Ortega",
        "Ines Duarte",
        "Okafor",
    }

    transferring.agree(transfer=transfer, household=transfer.new, at=SOLD)
    transferring.agree(transfer=transfer, household=transfer.old, at=SOLD)
    assert transfer.done_at is None
    assert transfer.old_agreed_at is None
    transferring.agree(transfer=transfer, household=ines, at=SOLD)

    assert transfer.done_at == SOLD
    record = Promise.objects.get().certificates.current().get().record
    assert record["holder"] == "Okafor"
    assert "Ines" not in str(record)
    assert client.get(address_of(transfer, ines)).status_code == 404


def test_owners_who_sold_together_are_asked_after_the_office_entered_the_sale() -> None:
    promise = make_open_promise(name="Ana Ortega")
    ines, buyer = beside(promise, "Ines Duarte"), make_household(name="Okafor")

    change_owner(home=promise.home, household=buyer, said=Said({}, ""), on=SOLD.date(), at=SOLD)

    voices = Transfer.objects.get().voices
    assert list(voices.values_list("household", "side")) == [
        (promise.holder_id, "old"),
        (ines.pk, "old"),
        (buyer.pk, "new"),
    ]


def test_a_buyer_entered_beside_the_first_says_yes_too_and_is_named() -> None:
    promise = make_open_promise(name="Ana Ortega")
    buyer, second = make_household(name="Okafor"), make_household(name="Lindgren")
    change_owner(home=promise.home, household=buyer, said=Said({}, ""), on=SOLD.date(), at=SOLD)
    transfer = Transfer.objects.get()
    transferring.agree(transfer=transfer, household=buyer, at=SOLD)

    add_owner(home=promise.home, household=second, said=Said({}, ""), on=SOLD.date(), at=SOLD)
    transferring.agree(transfer=transfer, household=transfer.old, at=SOLD)
    assert transfer.done_at is None
    transferring.agree(transfer=transfer, household=second, at=SOLD)

    assert transfer.done_at == SOLD
    record = Promise.objects.get().certificates.current().get().record
    assert record["holder"] == "Okafor, Lindgren"


def test_an_owner_who_buys_the_other_out_is_asked_once() -> None:
    promise = make_open_promise(name="Ana Ortega")
    ines = beside(promise, "Ines Duarte")

    change_owner(home=promise.home, household=ines, said=Said({}, ""), on=SOLD.date(), at=SOLD)

    voices = Transfer.objects.get().voices
    assert list(voices.values_list("household__name", "side")) == [
        ("Ana Ortega", "old"),
        ("Ines Duarte", "new"),
    ]


def test_an_owner_beside_the_holder_says_on_their_page_that_they_sold(client: Client) -> None:
    promise = make_open_promise(name="Ana Ortega")
    ines = beside(promise, "Ines Duarte")
    page = make_link(household=ines, purpose="my home", at=now(), days=9)
    typed = {"sold-on": "2026-05-31", "sold-name": "Okafor", "sold-language": "en"}

    answer = client.post(f"{page}sold/{promise.number}/", typed)

    assert answer.status_code == 302
    transfer = Transfer.objects.get()
    assert transfer.voice_of(ines).agreed_at is not None
    assert transfer.voice_of(promise.holder).agreed_at is None
    assert transfer.old_agreed_at is None
    assert "We wait for theirs." in client.get(page).content.decode()
