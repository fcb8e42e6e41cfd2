from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from customers.models import Photo
from jobs.actions import offering, showing
from jobs.actions.offering import Agreement, Line, NotAgreeable, NotOfferable
from jobs.models import Job, Offer, Price
from jobs.signals import offer_agreed, offer_sent
from tests.factories import (
    NOON,
    TODAY,
    make_home,
    make_household,
    make_job,
    make_offer,
    make_price_book,
    make_user,
)

pytestmark = pytest.mark.django_db
LINES = [Line("strip-glass", Decimal("160.5")), Line("collar", Decimal(2))]
SHOWN = NOON - timedelta(minutes=20)
AT_HOME = Agreement(
    by="Ada Quill", how="home", at=NOON, warranty_shown_at=SHOWN, told_orally_at=SHOWN
)


def as_read(agreement: Agreement, offer: Offer) -> Agreement:
    """The agreement to the paper of the offer as it was shown."""
    return replace(agreement, code=showing.show(offer=offer, at=SHOWN).code)


def offered(job: Job | None = None) -> Offer:
    make_price_book()
    return offering.make_offer(job=job or make_job(), lines=LINES, on=TODAY)


def test_lines_are_priced_from_the_book_in_force() -> None:
    make_price_book(valid_from=date(2026, 3, 3))
    old = make_price_book(valid_from=date(2025, 1, 1), tax_rate=Decimal("0.05"))
    old.prices.filter(code="strip-glass").update(price=Decimal("20.01"))

    offer = offering.make_offer(job=make_job(), lines=LINES, on=TODAY)

    strip, collars = offer.lines.all()
    assert offer.book == old
    assert strip.amount == Decimal("3211.61")  # 3211.605
    assert (strip.measure_text, collars.measure_text) == ("160.5 ft", "2")
    assert (strip.unit_price, strip.unit_cost, strip.unit) == (
        Decimal("20.01"),
        Decimal("7.50"),
        "ft",
    )
    assert collars.amount == Decimal("90.00")
    assert offer.totals().total == Decimal("3466.69")
    assert offer.deposit == Decimal("1040.01")  # the book's three tenths: 1040.007
    assert offer.valid_until == TODAY + timedelta(days=30)


def test_a_household_reads_its_offer_in_its_language() -> None:
    book = make_price_book()
    book.prices.filter(code="collar").update(text_es="Collar de nuestro taller")
    job = make_job(household=make_household(language="es"))

    offer = offering.make_offer(
        job=job, lines=[Line("collar", Decimal(1)), Line("strip-glass", Decimal(1))], on=TODAY
    )

    assert offer.language == "es"
    assert [line.text for line in offer.lines.all()] == [
        "Collar de nuestro taller",
        "Banda de vidrio",
        "Hasta el mínimo por el que se hace una instalación",
    ]


def test_a_later_price_leaves_the_offer_alone() -> None:
    offer = offered()

    Price.objects.update(price=1, cost=1)

    assert offer.totals().net == Decimal("3942.00")


def test_small_fitting_is_lifted_to_the_minimum() -> None:
    make_price_book()

    offer = offering.make_offer(job=make_job(), lines=[Line("collar", Decimal(1))], on=TODAY)

    assert [line.amount for line in offer.lines.all()] == [Decimal("45.00"), Decimal("555.00")]
    assert offer.totals().net == Decimal("600.00")


def test_a_paid_check_has_no_minimum() -> None:
    make_price_book()

    offer = offering.make_offer(
        job=make_job(kind="check"), lines=[Line("visit", Decimal(1))], on=TODAY
    )

    assert offer.totals().net == Decimal("90.00")


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        (Line("moat", Decimal(1)), "not in the price book"),
        (Line("collar", Decimal(0)), "more than nothing"),
        (Line("collar", Decimal(-2)), "more than nothing"),
        (Line("collar", Decimal(1), unit_price=Decimal(-1)), "below nothing"),
    ],
)
def test_refuses_lines_that_make_no_sense(line: Line, reason: str) -> None:
    make_price_book()

    with pytest.raises(NotOfferable, match=reason):
        offering.make_offer(job=make_job(), lines=[line], on=TODAY)

    assert not Offer.objects.exists()


def test_refuses_what_no_ledger_can_hold() -> None:
    offer = offered()
    dear = Line("collar", Decimal("9999999.999"), unit_price=Decimal("9999999999.99"))

    with pytest.raises(NotOfferable, match=r"at most \$9,999,999,999.99"):
        offering.change_lines(offer=offer, lines=[dear])

    assert offer.totals().total == 3942


def test_refuses_without_a_book_in_force() -> None:
    make_price_book(valid_from=TODAY + timedelta(days=1))

    with pytest.raises(NotOfferable, match="No price book"):
        offering.make_offer(job=make_job(), lines=LINES, on=TODAY)


def test_refuses_a_second_open_offer_and_an_agreed_job() -> None:
    offer = offered()

    with pytest.raises(NotOfferable, match=f"{offer.number} is open"):
        offering.make_offer(job=offer.job, lines=LINES, on=TODAY)
    with pytest.raises(NotOfferable, match="is agreed"):
        offered(make_job(stage="agreed"))


def test_change_lines_of_a_draft() -> None:
    offer = offered()

    offering.change_lines(
        offer=offer,
        lines=[Line("collar", Decimal(20), text="Collars, kitchen side", unit_price=Decimal(40))],
        deposit=Decimal(100),
    )

    assert [str(line) for line in offer.lines.all()] == ["20.000 each Collars, kitchen side"]
    assert offer.totals().net == Decimal("800.00")
    assert offer.deposit == 100


def test_change_lines_refuses_a_deposit_above_the_total_and_a_sent_offer() -> None:
    offer = offered()

    with pytest.raises(NotOfferable, match="between nothing and the total"):
        offering.change_lines(offer=offer, lines=LINES, deposit=Decimal(99999))
    offering.send(offer=offer, at=NOON)
    with pytest.raises(NotOfferable, match="replace it"):
        offering.change_lines(offer=offer, lines=[])

    assert offer.lines.count() == 2


def test_send_prices_the_job_and_reports_once() -> None:
    heard: list[Offer] = []

    def listener(offer: Offer, **_: object) -> None:
        heard.append(offer)

    offer_sent.connect(listener)
    offer = offered()

    offering.send(offer=offer, at=NOON)
    with pytest.raises(NotOfferable, match="is sent"):
        offering.send(offer=offer, at=NOON)

    offer_sent.disconnect(listener)
    assert (offer.state, offer.job.stage) == ("sent", "priced")
    assert heard == [offer]


def test_send_refuses_an_empty_offer() -> None:
    make_price_book()
    offer = offering.make_offer(job=make_job(), lines=[], on=TODAY)

    with pytest.raises(NotOfferable, match="no lines"):
        offering.send(offer=offer, at=NOON)


def test_agreement_at_the_home_is_recorded_with_its_cooling_off() -> None:
    heard: list[Offer] = []

    def listener(offer: Offer, **_: object) -> None:
        heard.append(offer)

    offer_agreed.connect(listener)
    offer = offered()

    offering.agree(offer=offer, agreement=as_read(AT_HOME, offer))

    offer_agreed.disconnect(listener)
    offer.refresh_from_db()
    assert (offer.state, offer.agreed_by, offer.agreed_how) == ("agreed", "Ada Quill", "home")
    assert (offer.agreed_at, offer.warranty_shown_at) == (NOON, SHOWN)
    assert offer.cooling_off_ends_at == datetime(2026, 3, 6, 7, 0, tzinfo=UTC)
    assert (offer.job.stage, offer.job.agreed_on) == ("agreed", TODAY)
    assert offer.job.revenue == Decimal("3942.00")
    assert heard == [offer]


def test_a_household_agrees_once() -> None:
    offer = offered()
    same = Offer.objects.get(pk=offer.pk)
    offering.agree(offer=offer, agreement=as_read(AT_HOME, offer))

    with pytest.raises(NotAgreeable, match="agreed already"):
        offering.agree(offer=same, agreement=as_read(AT_HOME, same))


@pytest.mark.parametrize(
    ("agreement", "reason"),
    [
        (Agreement(by=" ", how="paper", at=NOON), "Say who"),
        (Agreement(by="A", how="home", at=NOON, told_orally_at=SHOWN), "Show the warranty"),
        (
            Agreement(
                by="A",
                how="paper",
                at=NOON,
                warranty_shown_at=NOON + timedelta(minutes=1),
                told_orally_at=SHOWN,
            ),
            "Show the warranty before",
        ),
        (Agreement(by="A", how="home", at=NOON, warranty_shown_at=SHOWN), "aloud"),
        (Agreement(by="A", how="office", at=NOON - timedelta(days=2)), "not before"),
        (Agreement(by="A", how="office", at=NOON + timedelta(days=31)), "was valid until"),
        (Agreement(by="A", how="online", at=NOON, warranty_shown_at=SHOWN), "not been sent"),
    ],
    ids=["nobody", "not shown", "shown after", "not told", "too early", "too late", "draft"],
)
def test_agreement_is_refused(agreement: Agreement, reason: str) -> None:
    offer = offered()

    with pytest.raises(NotAgreeable, match=reason):
        offering.agree(offer=offer, agreement=agreement)

    offer.refresh_from_db()
    assert (offer.state, offer.job.stage) == ("draft", "asked")


def test_no_cooling_off_at_our_place_or_under_25_dollars() -> None:
    ours = offered()
    at_ours = Agreement(by="Ada", how="office", at=NOON)
    offering.agree(offer=ours, agreement=as_read(at_ours, ours))
    small = offering.make_offer(
        job=make_job(kind="check"),
        lines=[Line("visit", Decimal(1), unit_price=Decimal("24.99"))],
        on=TODAY,
    )
    offering.agree(offer=small, agreement=as_read(AT_HOME, small))
    exactly = offering.make_offer(
        job=make_job(kind="check"),
        lines=[Line("visit", Decimal(1), unit_price=Decimal("25.00"))],
        on=TODAY,
    )
    offering.agree(offer=exactly, agreement=as_read(AT_HOME, exactly))

    assert ours.cooling_off_ends_at is None
    assert small.cooling_off_ends_at is None
    assert exactly.cooling_off_ends_at is not None


def test_decline_leaves_the_job_for_another_offer() -> None:
    offer = offered()

    offering.decline(offer=offer)
    with pytest.raises(NotOfferable, match="declined already"):
        offering.decline(offer=offer)
    again = offering.make_offer(job=offer.job, lines=LINES, on=TODAY)

    assert (offer.number[-1], again.number[-1]) == ("A", "B")


def test_replace_reprices_from_the_book_in_force() -> None:
    offer = offered()
    offering.send(offer=offer, at=NOON)
    newer = make_price_book(valid_from=TODAY + timedelta(days=10))
    newer.prices.filter(code="collar").update(price=50)

    fresh = offering.replace(offer=offer, on=TODAY + timedelta(days=10))

    assert (offer.state, fresh.state, fresh.book) == ("replaced", "draft", newer)
    assert [line.amount for line in fresh.lines.all()] == [Decimal("3852.00"), Decimal("100.00")]


def test_replace_refuses_an_agreed_offer() -> None:
    offer = offered()
    offering.agree(offer=offer, agreement=as_read(AT_HOME, offer))

    with pytest.raises(NotOfferable, match="agreed already"):
        offering.replace(offer=offer, on=TODAY)


def test_who_asks_for_paper_after_the_agreement_takes_nothing_back() -> None:
    offer = offered()
    offering.send(offer=offer, at=NOON)
    read_before = Offer.objects.get(pk=offer.pk)
    offering.agree(offer=offer, agreement=as_read(AT_HOME, offer))

    with pytest.raises(NotOfferable, match="cannot be signed"):
        offering.ask_for_paper(offer=read_before, at=NOON)

    offer.refresh_from_db()
    assert (offer.state, offer.paper_sign_by) == ("agreed", None)


def test_waiver_needs_the_photograph_of_this_home() -> None:
    offer = offered()
    offering.agree(offer=offer, agreement=as_read(AT_HOME, offer))
    owner = make_user(role="owner")
    here = Photo.objects.create(home=offer.job.home, image="a.jpg", width=1, height=1)
    there = Photo.objects.create(home=make_home(), image="b.jpg", width=1, height=1)

    with pytest.raises(NotAgreeable, match="another home"):
        offering.waive_cooling_off(offer=offer, photo=there, note="stung", by=owner, at=NOON)
    with pytest.raises(NotAgreeable, match="what the household wrote"):
        offering.waive_cooling_off(offer=offer, photo=here, note=" ", by=owner, at=NOON)
    offering.waive_cooling_off(offer=offer, photo=here, note="stung", by=owner, at=NOON)
    with pytest.raises(NotAgreeable, match="no cooling-off"):
        offering.waive_cooling_off(offer=offer, photo=here, note="again", by=owner, at=NOON)

    offer.refresh_from_db()
    assert (offer.waived_by, offer.waived_at, offer.held_until()) == (owner, NOON, None)


def test_waiver_needs_an_agreement() -> None:
    offer = make_offer()
    photo = Photo.objects.create(home=offer.job.home, image="a.jpg", width=1, height=1)

    with pytest.raises(NotAgreeable, match="no cooling-off"):
        offering.waive_cooling_off(
            offer=offer, photo=photo, note="x", by=make_user(role="owner"), at=NOON
        )
