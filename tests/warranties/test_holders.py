"""A promise names every owner of its home, and each of them sees it."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils.timezone import now

from customers.actions import Said, add_owner, change_owner
from customers.links import make_link
from customers.models import Household
from tests.factories import NOON, TODAY, make_household
from tests.warranties.certified import make_certificate, make_open_promise
from warranties.actions import promising, standing, transferring
from warranties.models import Promise

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


def test_after_the_transfer_no_former_owner_is_named() -> None:
    promise = make_certificate(name="Ana Ortega").promise
    beside(promise, "Ines Duarte")
    move = transferring.Move(make_household(name="Okafor"), SOLD.date())
    transfer = transferring.start_transfer(promise=promise, move=move, at=SOLD)

    transferring.agree(transfer=transfer, side="old", at=SOLD)
    transferring.agree(transfer=transfer, side="new", at=SOLD)

    record = Promise.objects.get().certificates.current().get().record
    assert record["holder"] == "Okafor"
    assert "Ines" not in str(record)
