"""A transfer is started by the old household, the new one, or the office; each gets its link."""

from datetime import timedelta
from io import BytesIO

import pikepdf
import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils.timezone import now

from customers.links import make_link
from customers.models import Household
from tests.factories import NOON, make_household
from tests.warranties.certified import address_of, make_open_promise
from tests.warranties.papers import text_of
from warranties.actions import noticing, transferring
from warranties.models import Notice, Promise, Transfer
from warranties.notices.letter import letters_pdf

pytestmark = pytest.mark.django_db
SOLD = NOON + timedelta(days=90)


def start(promise: Promise, *, buyer: Household | None = None) -> Transfer:
    buyer = buyer or make_household(name="Adaeze Okafor", language="es")
    move = transferring.Move(buyer, SOLD.date())
    return transferring.start_transfer(promise=promise, move=move, at=SOLD)


def send_all() -> dict[str, str]:
    """Send what is planned; return each mail's words by whom it went to."""
    mail.outbox.clear()
    for notice in Notice.objects.filter(kind="transfer", channel="mail", state="planned"):
        noticing.send(pk=notice.pk, at=max(notice.send_at, SOLD))
    return {each.to[0]: f"{each.subject}\n{each.body}" for each in mail.outbox}


def test_each_household_is_sent_its_own_link_in_its_language() -> None:
    transfer = start(make_open_promise())

    sent = send_all()

    old, new = sent[transfer.old.mail], sent[transfer.new.mail]
    assert old.startswith("Has 14 Juniper Bend been sold?")
    assert new.startswith("La promesa de 14 Juniper Bend puede ser suya")
    assert address_of(transfer, transfer.old) in old
    assert address_of(transfer, transfer.new) in new
    assert address_of(transfer, transfer.new) not in old
    assert transfer.old.name not in new
    assert transfer.new.name not in old


def test_who_has_said_yes_is_not_asked_again() -> None:
    transfer = start(make_open_promise())
    transferring.agree(transfer=transfer, household=transfer.old, at=SOLD)

    assert list(send_all()) == [transfer.new.mail]
    assert Notice.objects.get(household=transfer.old).state == "dropped"


def test_a_transfer_called_off_is_not_mailed() -> None:
    transfer = start(make_open_promise())
    transferring.drop_transfer(transfer=transfer, at=SOLD)

    assert send_all() == {}
    reasons = {each.state_reason for each in Notice.objects.filter(kind="transfer")}
    assert reasons == {"The transfer is closed."}


def test_who_has_no_mail_gets_a_letter_with_the_code_to_its_page() -> None:
    transfer = start(make_open_promise(), buyer=make_household(name="Adaeze Okafor", mail=""))
    notice = Notice.objects.get(household=transfer.new)
    assert notice.channel == "letter"

    pdf = letters_pdf([notice], at=SOLD)

    assert "the page on which you say yes" in text_of(pdf)
    assert len(pikepdf.open(BytesIO(pdf)).pages) == 1


def test_the_old_household_starts_it_on_its_own_page(client: Client) -> None:
    promise = make_open_promise()
    my_home = make_link(household=promise.holder, purpose="my home", at=now(), days=30)
    sold = client.get(my_home).content.decode().split("/sold/")[0].rpartition('"')[2]
    page = f"{sold}/sold/{promise.number}/"
    asked = client.get(page)
    given = {"sold-on": "2026-05-31", "sold-name": "Okafor", "sold-language": "es"}

    answer = client.post(page, given)

    assert asked.status_code == 200
    assert answer.status_code == 302
    transfer = Transfer.objects.get()
    assert (transfer.started_by, transfer.new.name, transfer.new.language) == (
        "old",
        "Okafor",
        "es",
    )
    assert transfer.old_agreed_at is not None
    assert [each.household for each in Notice.objects.filter(kind="transfer")] == [transfer.new]
    assert "We wait for theirs." in client.get(my_home).content.decode()


def test_a_household_sells_only_what_it_holds(client: Client) -> None:
    promise = make_open_promise()
    other = make_link(household=make_household(), purpose="my home", at=now(), days=30)

    assert client.get(f"{other}sold/{promise.number}/").status_code == 404


def test_a_refused_start_keeps_no_household(client: Client) -> None:
    promise = make_open_promise()
    my_home = make_link(household=promise.holder, purpose="my home", at=now(), days=30)
    given = {"sold-on": "2025-01-01", "sold-name": "Okafor", "sold-language": "en"}

    answer = client.post(f"{my_home}sold/{promise.number}/", given)

    assert answer.status_code == 422
    assert "began on 2 March 2026" in answer.content.decode()
    assert not Household.objects.filter(name="Okafor").exists()


def test_the_office_starts_it_for_the_new_household(office: Client) -> None:
    promise = make_open_promise()
    page = reverse("transfer-start", args=[promise.number])
    assert page in office.get(promise.get_absolute_url()).content.decode()
    given = {
        "on": "2026-05-31",
        "told_by": "new",
        "household-name": "Okafor",
        "household-mail": "okafor@example.com",
        "household-language": "en",
        "consent-mail": "on",
        "consent-how": "told us by phone",
    }

    answer = office.post(page, given)

    assert answer.status_code == 302
    transfer = Transfer.objects.get()
    assert (transfer.started_by, transfer.old_agreed_at) == ("new", None)
    assert Notice.objects.get(household=transfer.new).channel == "mail"


def test_an_unfinished_form_starts_nothing(office: Client) -> None:
    page = reverse("transfer-start", args=[make_open_promise().number])

    assert office.post(page, {"told_by": "new"}).status_code == 422
    assert not Transfer.objects.exists()


def test_a_home_that_changed_hands_later_names_nobody_to_strangers() -> None:
    promise = make_open_promise()
    transfer = start(promise)
    third = make_household(name="Third Party")
    promise.home.ownerships.filter(until=None).update(until=SOLD.date() + timedelta(days=9))
    promise.home.ownerships.create(household=third, since=SOLD.date() + timedelta(days=9))
    transferring.agree(transfer=transfer, household=transfer.new, at=SOLD)

    with pytest.raises(transferring.NotTransferable, match="changed hands after that day") as said:
        transferring.agree(transfer=transfer, household=transfer.old, at=SOLD)

    assert "Third" not in str(said.value)
