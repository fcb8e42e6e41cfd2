"""16 CFR 429.0(a) and 702.3(d)(2): which sales have cooling-off days, and what comes before.

The rows are read from the rules' texts: 25 dollars at the buyer's home, the buyer's invitation
changes nothing, tax and charges count ("the total price paid or to be paid").
"""

from datetime import timedelta
from decimal import Decimal

import pytest

from jobs.actions import offering, showing
from jobs.actions.offering import Agreement, Line, NotAgreeable
from jobs.models import Offer
from tests.factories import NOON, TODAY, make_job, make_price_book

pytestmark = pytest.mark.django_db
MINUTE = timedelta(minutes=1)


def offer_of(*amounts: str, tax_rate: str = "0") -> Offer:
    make_price_book(tax_rate=Decimal(tax_rate))
    lines = [Line("visit", Decimal(1), unit_price=Decimal(amount)) for amount in amounts]
    return offering.make_offer(job=make_job(kind="check"), lines=lines, on=TODAY)


def agree(
    offer: Offer, how: str = "home", *, shown: int | None = 10, told: int | None = 10
) -> None:
    """Agree at noon; the warranty shown and the rights told so many minutes before."""
    offering.agree(
        offer=offer,
        agreement=Agreement(
            by="Ada Quill",
            how=how,
            at=NOON,
            warranty_shown_at=None if shown is None else NOON - shown * MINUTE,
            told_orally_at=None if told is None else NOON - told * MINUTE,
            code=showing.show(offer=offer, at=NOON - 10 * MINUTE).code,
        ),
    )


@pytest.mark.parametrize(
    ("amounts", "tax_rate", "how", "covered"),
    [
        (["24.99"], "0", "home", False),
        (["25.00"], "0", "home", True),
        (["15.00", "15.00"], "0", "home", True),
        (["24.00"], "0.0625", "home", True),
        (["4800.00"], "0", "paper", True),
        (["4800.00"], "0", "office", False),
    ],
    ids=["24.99", "25.00", "15 and 15", "24 and charges of 1.50", "invited", "at our place"],
)
def test_covered_sales(amounts: list[str], tax_rate: str, how: str, covered: bool) -> None:
    offer = offer_of(*amounts, tax_rate=tax_rate)

    agree(offer, how)

    assert (offer.cooling_off_ends_at is not None) is covered


def test_an_offer_sent_by_mail_after_a_visit_and_agreed_on_line_is_covered() -> None:
    offer = offer_of("4800.00")
    offering.send(offer=offer, at=NOON - 60 * MINUTE)

    agree(offer, "online", told=None)

    assert offer.cooling_off_ends_at is not None


@pytest.mark.parametrize("shown", [None, -1, 0], ids=["never", "a minute after", "at once"])
def test_warranty_must_be_shown_before(shown: int | None) -> None:
    offer = offer_of("4800.00")

    with pytest.raises(NotAgreeable, match="Show the warranty"):
        agree(offer, shown=shown)


def test_warranty_shown_three_minutes_before_is_enough() -> None:
    offer = offer_of("4800.00")

    agree(offer, shown=3)

    assert offer.state == "agreed"


def test_right_to_cancel_must_be_told_aloud() -> None:
    """16 CFR 429.1(e)."""
    with pytest.raises(NotAgreeable, match="aloud"):
        agree(offer_of("4800.00"), told=None)
