"""The offer: priced from the dated book, changed while a draft, sent, agreed to once."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext, override

from customers.models import Photo
from jobs import papers
from jobs.actions import filing
from jobs.actions.taking import take
from jobs.holds import COVERED_FROM, cooling_off_ends
from jobs.models import Job, Offer, OfferLine, Price, PriceBook
from jobs.models.job import BEFORE_AGREEMENT
from jobs.models.offer import MINIMUM_CODE, OPEN
from jobs.pricing import deposit_of, line_amount, missing_to_minimum
from jobs.signals import offer_agreed, offer_sent, paper_wanted
from shared.fields import MOST_MONEY
from shared.firm import money_said
from shared.models import User, languages
from shared.refusals import Refused

VALID_FOR = timedelta(days=30)
PAPER_TAKES = timedelta(days=14)  # There by mail, to be read and signed.
AT_OUR_PLACE = "office"
MOST_LINES = 200


class NotOfferable(Refused):
    """No offer can be made like this."""


class NotAgreeable(Refused):
    """The agreement cannot be recorded like this."""


@dataclass(frozen=True, slots=True)
class Line:
    """What is wanted on an offer. Text and price are the book's unless given."""

    code: str
    quantity: Decimal
    text: str = ""
    unit_price: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Agreement:
    """Who agreed, how and when; when the warranty was shown; when the rights were told aloud.

    `code` names what they read, however they agreed: it stands at the foot of the paper.
    """

    by: str
    how: str
    at: datetime
    warranty_shown_at: datetime | None = None
    told_orally_at: datetime | None = None
    code: str = ""


@transaction.atomic
def make_offer(
    *, job: Job, lines: Sequence[Line], on: date, note: str = "", language: str = ""
) -> Offer:
    """Draft an offer from the price book in force, in the household's language unless given.

    Refuses where another offer is still open.
    """
    Job.objects.select_for_update().get(pk=job.pk)
    job.refresh_from_db()
    if job.stage not in BEFORE_AGREEMENT:
        raise NotOfferable(f"Job {job.number} is {job.get_stage_display()}.")
    if other := job.offers.open().first():
        raise NotOfferable(f"Offer {other.number} is open: change it, or replace it.")
    offer = _draft(job, on, note)
    offer.language = language or job.household.language
    _write_lines(offer, lines)
    return offer


@transaction.atomic
def change_lines(
    *,
    offer: Offer,
    lines: Sequence[Line],
    note: str | None = None,
    deposit: Decimal | None = None,
    valid_until: date | None = None,
    language: str = "",
) -> None:
    """Write a draft's lines anew; the deposit is the book's share unless given.

    In another language, lines in the book's own words change theirs.
    """
    _locked_draft(offer)
    offer.language = language or offer.language
    if note is not None:
        offer.note = note
    if valid_until is not None:
        if valid_until < offer.made_on:
            raise NotOfferable("The offer must be valid at least on the day it is made.")
        offer.valid_until = valid_until
    _write_lines(offer, lines, deposit)


@transaction.atomic
def send(*, offer: Offer, at: datetime) -> None:
    """Send a draft to the household; its job is priced from now on."""
    if not offer.lines.exists():
        raise NotOfferable("The offer has no lines yet.")
    if not take(offer, among=("draft",), state="sent"):
        raise NotOfferable(f"Offer {offer.number} is {offer.get_state_display()}.")
    if not take(offer.job, among=BEFORE_AGREEMENT, stage="priced"):
        raise NotOfferable(f"Job {offer.job.number} is {offer.job.get_stage_display()}.")
    offer_sent.send(sender=Offer, offer=offer, at=at)


@transaction.atomic
def agree(*, offer: Offer, agreement: Agreement) -> None:
    """Record the household's agreement, once.

    Sold anywhere but at our place of business, the warranty must have been shown before (16 CFR
    702.3(d)(2)), the right to cancel told aloud unless on line (16 CFR 429.1(e)), and from 25
    dollars on no work begins before the cooling-off days are over. What changed since they read it
    must be shown again first, so the paper that they read is always named by its code. It is
    written down with it.
    """
    Offer.objects.select_for_update().get(pk=offer.pk)
    offer.refresh_from_db()
    job = offer.job
    agreed_on = agreement.at.astimezone(job.home.tz).date()
    _check_agreement(offer, agreement, agreed_on)
    facts = papers.offer_facts(offer, at=agreement.at)
    _check_as_shown(offer, agreement, facts)
    covered = agreement.how != AT_OUR_PLACE and offer.totals().total >= COVERED_FROM
    if not take(
        offer,
        among=OPEN,
        state="agreed",
        agreed_at=agreement.at,
        agreed_by=agreement.by.strip(),
        agreed_how=agreement.how,
        warranty_shown_at=agreement.warranty_shown_at,
        told_orally_at=agreement.told_orally_at,
        cooling_off_ends_at=_cooling_off_ends(offer, agreement.at) if covered else None,
    ):
        raise NotAgreeable(f"Offer {offer.number} is {offer.get_state_display()} already.")
    Job.objects.filter(pk=job.pk).recount()
    if not take(job, among=BEFORE_AGREEMENT, stage="agreed", agreed_on=agreed_on):
        raise NotAgreeable(f"Job {job.number} is {job.get_stage_display()} already.")
    filing.write_down(offer=offer, facts=facts)
    offer_agreed.send(sender=Offer, offer=offer, at=agreement.at)


@transaction.atomic
def decline(*, offer: Offer) -> None:
    """The household does not want this offer; the job stays for another one."""
    if not take(offer, among=OPEN, state="declined"):
        raise NotOfferable(f"Offer {offer.number} is {offer.get_state_display()} already.")


@transaction.atomic
def replace(*, offer: Offer, on: date) -> Offer:
    """Draft a new offer with the same lines at the prices in force; the old one is replaced."""
    job = offer.job
    Job.objects.select_for_update().get(pk=job.pk)
    if not take(offer, among=(*OPEN, "declined"), state="replaced"):
        raise NotOfferable(f"Offer {offer.number} is {offer.get_state_display()} already.")
    lines = [
        Line(code=line.code, quantity=line.quantity, text=line.text)
        for line in offer.lines.exclude(code=MINIMUM_CODE)
    ]
    return make_offer(job=job, lines=lines, on=on, note=offer.note, language=offer.language)


@transaction.atomic
def waive_cooling_off(*, offer: Offer, photo: Photo, note: str, by: User, at: datetime) -> None:
    """Record the household's own handwritten, dated and signed statement of an emergency.

    16 CFR 429.0(a)(3): a typed or electronic one is none, hence the photograph. Call this only
    for somebody who may decide it for the firm.
    """
    if photo.home_id != offer.job.home_id:
        raise NotAgreeable("The photograph belongs to another home.")
    if not note.strip():
        raise NotAgreeable("Say what the household wrote: the emergency, and that they waive.")
    Offer.objects.select_for_update().get(pk=offer.pk)
    offer.refresh_from_db()
    if offer.held_until() is None:
        raise NotAgreeable("There are no cooling-off days to waive.")
    waiver = {"waiver_photo": photo, "waiver_note": note.strip(), "waived_by": by, "waived_at": at}
    take(offer, among=("agreed",), **waiver)


@transaction.atomic
def ask_for_paper(*, offer: Offer, at: datetime) -> None:
    """Send the offer by letter, its notices of cancellation filled in, to be signed and returned.

    The day of signing is not known yet, so the notices name the last one, and what they grant holds
    however early it is signed (16 CFR 429.1(c): "not earlier than the third business day").
    """
    today = at.astimezone(offer.job.home.tz).date()
    sign_by = min(today + PAPER_TAKES, offer.valid_until)
    if today > sign_by or not take(offer, among=("sent",), paper_sign_by=sign_by):
        raise NotOfferable(f"Offer {offer.number} cannot be signed any more.")
    paper_wanted.send(sender=Offer, offer=offer, at=at)


def _cooling_off_ends(offer: Offer, agreed_at: datetime) -> datetime:
    """Not before what a paper that we sent has promised."""
    zone = offer.job.home.tz
    ends = cooling_off_ends(agreed_at, zone)
    if offer.paper_sign_by is None:
        return ends
    last = datetime.combine(offer.paper_sign_by, time.min, tzinfo=zone)
    return max(ends, cooling_off_ends(last, zone))


def _check_agreement(offer: Offer, agreement: Agreement, agreed_on: date) -> None:
    if not agreement.by.strip():
        raise NotAgreeable("Say who agreed.")
    if agreed_on < offer.made_on:
        raise NotAgreeable(f"The offer was made on {offer.made_on:%-d %B %Y}, not before.")
    if agreed_on > offer.valid_until:
        raise NotAgreeable(
            f"The offer was valid until {offer.valid_until:%-d %B %Y}: replace it by a new one."
        )
    if agreement.how == "online" and offer.state == "draft":
        raise NotAgreeable("The offer has not been sent yet.")
    if not offer.lines.exists():
        raise NotAgreeable("The offer has no lines.")
    if agreement.how != AT_OUR_PLACE:
        _check_sale_away_from_our_place(agreement)


def _check_sale_away_from_our_place(agreement: Agreement) -> None:
    shown, told = agreement.warranty_shown_at, agreement.told_orally_at
    if shown is None or shown >= agreement.at:
        raise NotAgreeable("Show the warranty before the household agrees, and say when.")
    if agreement.how == "online":
        return
    if told is None or told > agreement.at:
        raise NotAgreeable("Tell the household aloud that they may cancel, and say when.")


def _check_as_shown(offer: Offer, agreement: Agreement, facts: papers.Facts) -> None:
    """Nobody agrees to what they were not shown."""
    code = "".join(agreement.code.split()).upper()
    if not code:
        raise NotAgreeable(
            gettext("Which paper of offer %(offer)s did they read? Its code stands at its foot.")
            % {"offer": offer.number}
        )
    shown = offer.shown.filter(code=code).first()
    if shown is None:
        raise NotAgreeable(
            gettext("No paper of offer %(offer)s bears the code “%(code)s”.")
            % {"offer": offer.number, "code": code}
        )
    if shown.code != papers.code_of(facts):
        changed = " ".join(papers.changes(shown.facts, facts))
        raise NotAgreeable(
            gettext("This changed after it was shown: %(changes)s Show it again, then agree.")
            % {"changes": changed}
        )


def _draft(job: Job, on: date, note: str) -> Offer:
    book = PriceBook.objects.in_force(on)
    if book is None:
        raise NotOfferable(f"No price book is in force on {on:%-d %B %Y}.")
    return Offer.objects.create(
        job=job,
        number=f"{job.number}-{_letters(job.offers.count())}",
        book=book,
        tax_rate=book.tax_rate,
        made_on=on,
        valid_until=on + VALID_FOR,
        note=note,
    )


def _letters(count: int) -> str:
    """A, B, ... Z, AA, AB: the offers of a job in their order, counted from 0."""
    first, last = divmod(count, 26)
    return (_letters(first - 1) if first else "") + chr(ord("A") + last)


def _locked_draft(offer: Offer) -> None:
    Offer.objects.select_for_update().get(pk=offer.pk)
    offer.refresh_from_db()
    if offer.state != "draft":
        raise NotOfferable(f"Offer {offer.number} is {offer.get_state_display()}: replace it.")


def _write_lines(offer: Offer, lines: Sequence[Line], deposit: Decimal | None = None) -> None:
    """Snapshot texts, prices and costs onto the offer; its deposit follows."""
    rows = _rows(offer, lines)
    total = offer.totals_of(rows).total
    if total > MOST_MONEY:
        raise NotOfferable(f"An offer comes to at most {money_said(MOST_MONEY)}.")
    for old in offer.lines.all():
        old.delete()  # one by one, for their history
    for position, row in enumerate(rows, start=1):
        row.position = position
        row.save()
    offer.deposit = deposit_of(total, offer.book.deposit_share) if deposit is None else deposit
    if not 0 <= offer.deposit <= total:
        raise NotOfferable(f"The deposit must be between nothing and the total, {total}.")
    offer.save()


def _rows(offer: Offer, lines: Sequence[Line]) -> list[OfferLine]:
    """The lines as the book prices them, with what they lack of the least for a fitting."""
    if len(lines) > MOST_LINES:
        raise NotOfferable(f"An offer has at most {MOST_LINES} lines.")
    prices = {price.code: price for price in offer.book.prices.all()}
    rows = [_row(offer, line, prices.get(line.code)) for line in lines]
    return [*rows, *_minimum_row(offer, rows)] if offer.job.kind == "fitting" else rows


def _row(offer: Offer, line: Line, price: Price | None) -> OfferLine:
    if price is None:
        raise NotOfferable(f"“{line.code}” is not in the price book “{offer.book.name}”.")
    if line.quantity <= 0:
        raise NotOfferable(f"The quantity of “{price.text}” must be more than nothing.")
    unit_price = price.price if line.unit_price is None else line.unit_price
    if unit_price < 0:
        raise NotOfferable(f"The price of “{price.text}” cannot be below nothing.")
    return OfferLine(
        offer=offer,
        code=line.code,
        text=_words(line, price, offer.language),
        quantity=line.quantity,
        unit=price.unit,
        unit_price=unit_price,
        unit_cost=price.cost,
        amount=line_amount(line.quantity, unit_price),
    )


def _words(line: Line, price: Price, language: str) -> str:
    """What was typed; the book's own words in the language of the offer."""
    ours = {price.words(code) for code, _name in languages()}
    return price.words(language) if not line.text or line.text in ours else line.text


def _minimum_row(offer: Offer, rows: list[OfferLine]) -> list[OfferLine]:
    missing = missing_to_minimum([row.amount for row in rows], offer.book.minimum)
    if not missing:
        return []
    with override(offer.language):
        text = gettext("Up to the least that a fitting is done for")
    return [
        OfferLine(
            offer=offer,
            code=MINIMUM_CODE,
            text=text,
            quantity=Decimal(1),
            unit="each",
            unit_price=missing,
            amount=missing,
        )
    ]
