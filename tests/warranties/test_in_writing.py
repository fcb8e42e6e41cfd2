"""Papers that the law wants in writing go as files only to who chose them, else by letter."""

from datetime import timedelta
from hashlib import sha256
from io import BytesIO

import pikepdf
import pytest
from django.core import mail
from django.core.mail import EmailMultiAlternatives
from django.test import Client
from django.utils.timezone import now

from customers.actions import record_consent, withdraw_paperless
from customers.links import make_link
from jobs.actions import filing, offering, showing
from jobs.actions.offering import Agreement
from jobs.models import AgreedPaper, Offer
from tests.factories import NOON, make_job, make_offer, make_paperless, make_terms
from tests.warranties.certified import make_certificate
from tests.warranties.papers import text_of
from warranties.actions import noticing
from warranties.models import Notice
from warranties.notices import plan_notices
from warranties.notices.letter import letters_pdf

pytestmark = pytest.mark.django_db
SOON = NOON + timedelta(hours=1)


def make_agreed(*, files: bool, how: str = "online", **fields: str) -> AgreedPaper:
    """An agreement whose paper is printed."""
    make_terms()
    offer = make_offer(state="sent", job=make_job(stage="priced"), **fields)
    household = offer.job.household
    record_consent(household=household, channel="mail", given=True, how="asked", at=NOON)
    if files:
        make_paperless(household=household)
    shown_at = NOON - timedelta(minutes=9)
    shown = showing.show(offer=offer, at=shown_at)
    agreement = Agreement("Ada Quill", how, NOON, shown_at, shown_at, shown.code)
    offering.agree(offer=offer, agreement=agreement)
    return filing.print_out(paper=AgreedPaper.objects.get(offer=offer))


def the_notice(kind: str) -> Notice:
    return Notice.objects.select_related("household", "home", "booking").get(kind=kind)


def test_the_copy_in_the_mail_has_the_very_bytes_that_are_kept() -> None:
    paper = make_agreed(files=True)

    plan_notices(SOON)
    notice = the_notice("agreement")
    noticing.send(pk=notice.pk, at=max(SOON, notice.send_at))

    (sent,) = mail.outbox
    assert isinstance(sent, EmailMultiAlternatives)
    (attached,) = sent.attachments
    assert attached[0] == f"{paper.offer.number}.pdf"
    assert sha256(attached[1]).hexdigest() == paper.sha256
    assert sent.to == [paper.offer.job.household.mail]


def test_it_is_planned_once() -> None:
    make_agreed(files=True)

    assert (plan_notices(SOON), plan_notices(SOON)) == (1, 0)


def test_without_the_choice_it_is_a_letter_with_the_paper_behind_it() -> None:
    paper = make_agreed(files=False)
    record_consent(
        household=paper.offer.job.household, channel="letter", given=False, how="said", at=NOON
    )

    plan_notices(SOON)

    notice = the_notice("agreement")
    assert notice.channel == "letter"
    pdf = letters_pdf([notice], at=SOON)
    kept = len(pikepdf.open(BytesIO(filing.kept_bytes(paper))).pages)
    assert len(pikepdf.open(BytesIO(pdf)).pages) == kept + 1
    assert text_of(pdf).count("I HEREBY CANCEL THIS TRANSACTION.") == 2


def test_who_signed_on_paper_and_chose_no_files_has_it_in_hand() -> None:
    make_agreed(files=False, how="home")

    assert plan_notices(SOON) == 0


def test_withdrawn_before_it_went_out_it_becomes_a_letter() -> None:
    paper = make_agreed(files=True)
    plan_notices(SOON)
    notice = the_notice("agreement")
    withdraw_paperless(household=paper.offer.job.household, how="Called.", at=SOON)

    noticing.send(pk=notice.pk, at=max(SOON, notice.send_at))

    notice.refresh_from_db()
    assert (notice.channel, notice.state) == ("letter", "planned")
    assert mail.outbox == []


@pytest.mark.parametrize(("files", "channel"), [(True, "mail"), (False, "letter")])
def test_a_certificate_is_a_paper_in_writing_too(files: bool, channel: str) -> None:
    """16 CFR 701.3: the warranty's terms, in a single document in writing."""
    household = make_certificate().promise.holder
    record_consent(household=household, channel="mail", given=True, how="asked", at=NOON)
    if files:
        make_paperless(household=household)

    plan_notices(SOON)

    assert the_notice("certificate").channel == channel


def test_an_offer_asked_for_on_paper_goes_by_letter_filled_in(client: Client) -> None:
    make_terms()
    offer = make_offer(state="sent", job=make_job(stage="priced"), language="es")
    make_paperless(household=offer.job.household)

    offering.ask_for_paper(offer=offer, at=NOON)

    notice = the_notice("offer-paper")
    assert (notice.channel, notice.language) == ("letter", "es")
    words = text_of(letters_pdf([notice], at=SOON))
    assert words.count("16 de marzo de 2026 a más tardar") >= 2
    assert words.count("A MÁS TARDAR A LA MEDIANOCHE DEL 19 DE MARZO DE 2026") == 2
    assert Offer.objects.get().shown.get().code in words


def test_a_household_takes_its_choice_back_on_my_home(client: Client) -> None:
    household = make_certificate().promise.holder
    make_paperless(household=household)
    page = make_link(household=household, purpose="my home", at=now(), days=9)
    assert "Send them on paper from now on" in client.get(page).content.decode()

    answer = client.post(f"{page}paper/", follow=True)

    assert "certificates come to you by letter" in answer.content.decode()
    assert household.paperless.get().withdrawn_how == "Said on my home."
