import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from hashlib import sha256

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils.html import escape

from customers.links import make_link
from customers.models import Paperless
from customers.models.paperless import STATEMENT
from jobs.actions import offering, showing
from jobs.actions.offering import Agreement
from jobs.models import AgreedPaper, Offer
from tests.factories import NOON, make_household, make_job, make_offer, make_paperless, make_terms
from tests.warranties.papers import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def clock() -> Iterator[time_machine.Traveller]:
    with time_machine.travel(NOON, tick=False) as clock:
        yield clock


def address(offer: Offer, days: int = 30) -> str:
    job = offer.job
    link = make_link(household=job.household, purpose="offer", about=job.number, at=NOON, days=days)
    return link.removeprefix("http://127.0.0.1:8000").removeprefix("http://testserver")


def code_in_the_pdf(offer: Offer) -> str:
    """What stands at the foot of the PDF as it was shown last."""
    shown = offer.shown.first()
    return shown.code if shown else ""


def filled(page: str, offer: Offer, **changed: str) -> dict[str, str]:
    shown = re.search(r'name="shown" value="([^"]+)"', page)
    return {
        "offer": offer.number,
        "by": "Ada Quill",
        "paperless": "on",
        "code": code_in_the_pdf(offer),
        "agreed": "on",
        "shown": shown[1] if shown else "",
        **changed,
    }


def test_household_reads_and_agrees(client: Client, clock: time_machine.Traveller) -> None:
    make_terms(title="Limited warranty", body="We repair it.")
    offer = make_offer(state="sent", job=make_job(stage="priced"))
    url = address(offer)

    page = client.get(url).content.decode()
    clock.shift(timedelta(minutes=4))
    response = client.post(url, filled(page, offer))
    after = client.get(url).content.decode()

    offer.refresh_from_db()
    assert "We repair it." in page
    assert "$3,930.00" in page
    assert "MIDNIGHT OF MARCH 5, 2026" in page
    assert response.status_code == 302
    assert (offer.state, offer.agreed_how, offer.agreed_by) == ("agreed", "online", "Ada Quill")
    assert (offer.warranty_shown_at, offer.agreed_at) == (NOON, NOON + timedelta(minutes=4))
    assert offer.cooling_off_ends_at == datetime(2026, 3, 6, 7, tzinfo=UTC)
    assert "March 2, 2026, 12:04 PM, Ada Quill" in after
    assert "<button" not in after.split("<main")[1]


def test_both_copies_of_the_notice_speak_the_language_of_the_talk(client: Client) -> None:
    make_terms()
    english = make_offer(state="sent", job=make_job(stage="priced"))
    spanish = make_offer(state="sent", job=make_job(stage="priced"), language="es")

    assert client.get(address(english)).content.decode().count("Notice of Cancellation</h2>") == 2
    page = client.get(address(spanish)).content.decode()
    assert page.count("Aviso de cancelación</h2>") == 2
    assert "Notice of Cancellation" not in page


def test_without_terms_nobody_agrees(client: Client, clock: time_machine.Traveller) -> None:
    offer = make_offer(state="sent", job=make_job(stage="priced"))
    url = address(offer)
    page = client.get(url).content.decode()
    clock.shift(60)

    response = client.post(url, filled(page, offer))

    assert response.status_code == 422
    assert "Show the warranty" in response.content.decode()


@pytest.mark.parametrize("missing", ["by", "paperless", "code", "agreed", "shown"])
def test_every_part_is_needed(client: Client, clock: time_machine.Traveller, missing: str) -> None:
    make_terms()
    offer = make_offer(state="sent", job=make_job(stage="priced"))
    url = address(offer)
    page = client.get(url).content.decode()
    clock.shift(60)

    response = client.post(url, filled(page, offer, **{missing: ""}))

    offer.refresh_from_db()
    assert response.status_code == 422
    assert offer.state == "sent"


def test_a_wrong_code_shows_nothing(client: Client, clock: time_machine.Traveller) -> None:
    make_terms()
    offer = make_offer(state="sent", job=make_job(stage="priced"))
    url = address(offer)
    page = client.get(url).content.decode()
    clock.shift(60)

    response = client.post(url, filled(page, offer, code="ABCDEF"))

    assert response.status_code == 422
    assert "not the code in the PDF" in response.content.decode()
    assert not Paperless.objects.exists()


def test_the_code_stands_in_the_pdf_alone(client: Client) -> None:
    make_terms()
    offer = make_offer(state="sent", job=make_job(stage="priced"))

    page = client.get(address(offer)).content.decode()

    assert code_in_the_pdf(offer)
    assert code_in_the_pdf(offer) not in page


def test_agreeing_keeps_the_consent_word_for_word(
    client: Client, clock: time_machine.Traveller
) -> None:
    make_terms()
    offer = make_offer(state="sent", job=make_job(stage="priced"), language="es")
    url = address(offer)
    page = client.get(url).content.decode()
    clock.shift(60)

    client.post(url, filled(page, offer))

    given = Paperless.objects.get()
    assert (given.household, given.language, given.given_by) == (
        offer.job.household,
        "es",
        "Ada Quill",
    )
    assert given.version == STATEMENT
    assert offer.number in given.shown_how
    assert all(escape(line) in page for line in given.statement.splitlines())
    assert given.history.count() == 1


def test_who_takes_files_already_is_not_asked_again(
    client: Client, clock: time_machine.Traveller
) -> None:
    make_terms()
    offer = make_offer(state="sent", job=make_job(stage="priced"))
    make_paperless(household=offer.job.household)
    url = address(offer)
    page = client.get(url).content.decode()
    clock.shift(60)

    response = client.post(url, filled(page, offer, paperless="", code=""))

    assert 'name="paperless"' not in page
    assert response.status_code == 302
    assert Paperless.objects.count() == 1


def test_who_wants_paper_gets_it_by_letter_and_its_days_hold(
    client: Client, clock: time_machine.Traveller
) -> None:
    """16 CFR 429.1(c): the printed day is not earlier than the third business day."""
    make_terms()
    offer = make_offer(state="sent", job=make_job(stage="priced"))
    url = address(offer)

    answer = client.post(url, {"offer": offer.number, "paper": "yes"}, follow=True)

    assert "A letter with all papers is on its way. Sign one copy by March 16, 2026" in (
        answer.content.decode()
    )
    offer.refresh_from_db()
    assert offer.state == "sent"
    clock.shift(timedelta(days=4))
    at = NOON + timedelta(days=4)
    code = showing.show(offer=offer, at=NOON).code
    agreement = Agreement("Ada", "paper", at, NOON, NOON, code)
    offering.agree(offer=offer, agreement=agreement)
    assert offer.cooling_off_ends_at == datetime(2026, 3, 20, 7, tzinfo=UTC)
    assert AgreedPaper.objects.get().record["cancel_until"] == "2026-03-19"


def test_a_household_sees_only_its_own_offers(client: Client) -> None:
    make_terms()
    mine, theirs = (make_offer(state="sent", job=make_job(stage="priced")) for _ in range(2))

    page = client.get(address(mine)).content.decode()
    answer = client.post(address(mine), {"offer": theirs.number})

    assert theirs.number not in page
    assert mine.number in page
    assert answer.status_code == 409
    assert theirs.number not in answer.content.decode()


def test_agreeing_to_an_offer_that_was_replaced_agrees_to_no_other(
    client: Client, clock: time_machine.Traveller
) -> None:
    make_terms()
    read = make_offer(state="sent", job=make_job(stage="priced"))
    url = address(read)
    form = filled(client.get(url).content.decode(), read)
    clock.shift(60)
    fresh = offering.replace(offer=read, on=NOON.date())
    offering.send(offer=fresh, at=NOON)

    answer = client.post(url, form)

    fresh.refresh_from_db()
    assert answer.status_code == 409
    assert "Read our offer as it is now" in answer.content.decode()
    assert fresh.state == "sent"


def test_what_changed_while_they_read_is_told_and_shown_again(
    client: Client, clock: time_machine.Traveller
) -> None:
    make_terms()
    offer = make_offer(state="sent", job=make_job(stage="priced"))
    url = address(offer)
    form = filled(client.get(url).content.decode(), offer)
    offer.lines.filter(code="collar").update(amount=95)
    clock.shift(60)

    refused = client.post(url, form)
    again = client.post(url, filled(refused.content.decode(), offer))
    clock.shift(60)
    agreed = client.post(url, filled(again.content.decode(), offer))

    assert refused.status_code == 422
    assert "“collar” was 2, $90.00 and is now 2, $95.00." in refused.content.decode()
    assert again.status_code == 422  # The same minute: it cannot have been read before.
    assert agreed.status_code == 302


def test_the_pdf_is_what_the_page_shows_and_then_what_was_agreed(
    client: Client, clock: time_machine.Traveller
) -> None:
    make_terms()
    offer = make_offer(state="sent", job=make_job(stage="priced"))
    url = address(offer)
    page = client.get(url).content.decode()
    before = client.get(f"{url}offer.pdf", {"offer": offer.number})
    clock.shift(60)
    client.post(url, filled(page, offer))

    after = client.get(f"{url}offer.pdf", {"offer": offer.number})

    code = offer.shown.get().code
    assert code in text_of(before.content)
    assert code in text_of(after.content)
    assert "Buyer’s signature and date" in text_of(before.content)
    assert "Agreed on line by Ada Quill" in text_of(after.content)
    assert sha256(after.content).hexdigest() == AgreedPaper.objects.get().sha256
    other = make_offer(state="sent")
    assert client.get(f"{url}offer.pdf", {"offer": other.number}).status_code == 404


def test_a_draft_is_not_shown(client: Client) -> None:
    offer = make_offer(job=make_job(household=make_household()))

    page = client.get(address(offer)).content.decode()

    assert offer.number not in page
    assert "No offer waits for you" in page


def test_agreeing_twice_changes_nothing(client: Client, clock: time_machine.Traveller) -> None:
    make_terms()
    offer = make_offer(state="sent", job=make_job(stage="priced"))
    url = address(offer)
    form = filled(client.get(url).content.decode(), offer)
    clock.shift(60)
    client.post(url, form)
    clock.shift(60)

    response = client.post(url, {**form, "by": "Somebody else"})

    offer.refresh_from_db()
    assert response.status_code == 200
    assert offer.agreed_by == "Ada Quill"


def test_link_ends_with_its_time(client: Client, clock: time_machine.Traveller) -> None:
    url = address(make_offer(state="sent"), days=1)
    clock.shift(timedelta(days=1, seconds=1))

    assert client.get(url).status_code == 404


def test_office_makes_the_link_for_a_sent_offer_only(office: Client, client: Client) -> None:
    make_terms()
    offer = make_offer(state="sent", job=make_job(stage="priced"))
    draft = make_offer()

    page = office.post(reverse("offer-link", args=[offer.number]), follow=True).content.decode()
    refused = office.post(reverse("offer-link", args=[draft.number]), follow=True)

    found = re.search(r"agrees at http://[^/]+(/agree/[^<\s]+)", page)
    assert found
    assert offer.number in client.get(found[1].strip()).content.decode()
    assert "Only an offer that is sent" in refused.content.decode()


def test_token_of_showing_is_ours_and_lasts_a_day(clock: time_machine.Traveller) -> None:
    make_terms()
    shown = showing.show(offer=make_offer(), at=NOON)
    token = showing.showing_token(shown, NOON)

    assert showing.read_token(token) == (shown, NOON)
    assert showing.read_token(token[:-1]) is None
    assert showing.read_token("") is None
    clock.shift(timedelta(days=1, seconds=1))
    assert showing.read_token(token) is None
