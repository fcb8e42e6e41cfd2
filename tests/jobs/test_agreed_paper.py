"""What was agreed to is what was shown, is kept word for word, and can be checked."""

from datetime import timedelta
from decimal import Decimal
from hashlib import sha256
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse
from django.utils.translation import override

from jobs import papers, tasks
from jobs.actions import filing, offering, showing
from jobs.actions.offering import Agreement, NotAgreeable
from jobs.models import AgreedPaper, Offer
from tests.factories import NOON, make_job, make_offer, make_terms
from tests.warranties.papers import text_of

pytestmark = pytest.mark.django_db
SHOWN = NOON - timedelta(minutes=20)


def agreement(code: str, how: str = "home") -> Agreement:
    return Agreement(
        by="Ada Quill",
        how=how,
        at=NOON,
        warranty_shown_at=SHOWN,
        told_orally_at=SHOWN,
        code=code,
    )


def make_sent(**fields: str) -> Offer:
    make_terms(title="Limited warranty", body="## What we repair\n\nWe repair the strip.")
    return make_offer(state="sent", job=make_job(stage="priced"), **fields)


def agreed_paper(**fields: str) -> AgreedPaper:
    offer = make_sent(**fields)
    code = showing.show(offer=offer, at=SHOWN).code
    offering.agree(offer=offer, agreement=agreement(code))
    return AgreedPaper.objects.get(offer=offer)


def test_the_agreement_keeps_the_paper_that_was_shown() -> None:
    paper = agreed_paper()

    facts = paper.offer.shown.get().facts
    assert {name: paper.record[name] for name in facts} == facts
    assert paper.record["agreed"] == {
        "by": "Ada Quill",
        "how": "home",
        "at": "2026-03-02T12:00:00-07:00",
    }
    assert (paper.record["signed_on"], paper.record["cancel_until"]) == ("2026-03-02", "2026-03-05")


def test_the_paper_is_printed_once_with_its_sum() -> None:
    paper = agreed_paper()

    tasks.print_agreements()

    paper.refresh_from_db()
    pdf = filing.kept_bytes(paper)
    assert paper.sha256 == sha256(pdf).hexdigest()
    assert filing.is_whole(paper)
    assert filing.print_out(paper=paper).file.name == paper.file.name
    assert papers.as_pdf(paper.record) == pdf


def test_the_printed_paper_says_all_that_the_rule_asks() -> None:
    """16 CFR 429.1(a)-(c): the receipt, the statement, the completed notice in duplicate."""
    pdf = papers.as_pdf(agreed_paper().record)

    words = text_of(pdf)
    assert words.count("I HEREBY CANCEL THIS TRANSACTION.") == 2
    assert words.count("NOT LATER THAN MIDNIGHT OF MARCH 5, 2026") == 2
    assert "You, the buyer, may cancel this transaction at any time" in words
    assert "We repair the strip." in words
    assert "$3,930.00" in words
    assert "Agreed by Ada Quill, March 2, 2026, 12:00 PM." in words
    with pikepdf.open(BytesIO(pdf)) as opened:
        assert str(opened.Root.Lang) == "en"
        assert opened.Root.MarkInfo.Marked


def test_the_spanish_paper_is_spanish_throughout() -> None:
    pdf = papers.as_pdf(agreed_paper(language="es").record)

    words = text_of(pdf)
    assert words.count("Aviso de cancelación") == 2
    assert "Aceptado por Ada Quill" in words
    assert "Notice of Cancellation" not in words
    assert "Deposit" not in words


@pytest.mark.parametrize("harm", ["flip", "remove"])
def test_a_harmed_file_is_told(office: Client, harm: str) -> None:
    paper = filing.print_out(paper=agreed_paper())
    page = paper.offer.get_absolute_url()
    assert "The kept file is the one that was agreed to" in office.get(page).content.decode()
    path = Path(default_storage.path(str(paper.file.name)))
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1

    path.write_bytes(data) if harm == "flip" else path.unlink()

    assert not filing.is_whole(paper)
    assert "The kept file was altered or is gone" in office.get(page).content.decode()


def test_the_office_opens_the_kept_bytes(office: Client) -> None:
    paper = agreed_paper()

    answer = office.get(reverse("offer-agreed-paper", args=[paper.offer.number]))

    paper.refresh_from_db()
    assert sha256(answer.content).hexdigest() == paper.sha256


def test_a_changed_price_is_refused_and_told() -> None:
    offer = make_sent()
    code = showing.show(offer=offer, at=SHOWN).code
    offer.lines.filter(code="collar").update(unit_price=50, amount=Decimal("100.00"))

    with pytest.raises(NotAgreeable) as refusal:
        offering.agree(offer=offer, agreement=agreement(code))

    assert "“collar” was 2, $90.00 and is now 2, $100.00." in str(refusal.value)
    assert "The total was $3,930.00 and is now $3,940.00." in str(refusal.value)
    assert not AgreedPaper.objects.exists()


def test_changed_terms_are_refused_and_told_in_the_reader_s_language() -> None:
    offer = make_sent()
    code = showing.show(offer=offer, at=SHOWN).code
    make_terms(version=9_999, body="We repair less.", made_at=SHOWN + timedelta(minutes=1))

    with override("es"), pytest.raises(NotAgreeable, match="La garantía ha cambiado") as refusal:
        offering.agree(offer=offer, agreement=agreement(code))

    assert "total" not in str(refusal.value)


def test_terms_made_after_the_agreement_change_nothing() -> None:
    offer = make_sent()
    code = showing.show(offer=offer, at=SHOWN).code
    make_terms(version=9_999, body="We repair less.", made_at=NOON + timedelta(minutes=1))

    offering.agree(offer=offer, agreement=agreement(code))

    assert "We repair the strip." in AgreedPaper.objects.get().record["terms"]["body"]


@pytest.mark.parametrize("how", ["home", "paper", "office", "online"])
@pytest.mark.parametrize(
    ("code", "why"),
    [("AAAAAA", "No paper of offer"), (" ", "did they read"), ("", "did they read")],
)
def test_nobody_agrees_without_the_code_of_a_paper(code: str, why: str, how: str) -> None:
    offer = make_sent()

    with pytest.raises(NotAgreeable, match=why):
        offering.agree(offer=offer, agreement=agreement(code, how))
    offer.refresh_from_db()
    assert offer.state == "sent"


def test_a_code_is_read_as_people_write_it() -> None:
    offer = make_sent()
    code = showing.show(offer=offer, at=SHOWN).code

    offering.agree(offer=offer, agreement=agreement(f" {code[:3].lower()} {code[3:]} "))

    assert offer.state == "agreed"


def test_each_change_is_named() -> None:
    before = papers.offer_facts(make_sent(), at=NOON)
    now = {
        **before,
        "lines": [{"text": "cap", "measure": "1", "amount": "35.00"}, before["lines"][0]],
        "deposit": "10.00",
        "valid_until": "2026-05-01",
        "note": "Mind the dog.",
        "household": "Somebody else",
    }

    assert papers.changes(before, now) == [
        "“collar” is left out.",
        "“cap” is new: $35.00.",
        "The deposit was $0.00 and is now $10.00.",
        "The offer is now valid until May 1, 2026.",
        "The note has changed.",
        "Names, addresses or the language have changed.",
    ]
    assert papers.changes(before, before) == []
