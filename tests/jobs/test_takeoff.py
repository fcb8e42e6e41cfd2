"""What an offer takes is read off the plan: feet and pieces by the price book's own units."""

from dataclasses import replace
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from customers.plan.contacts import Outlook, check_plan, needed
from customers.plan.document import PlanDocument
from jobs.asfitted import DETAIL_OF
from jobs.models import Offer
from jobs.takeoff import take_off
from tests.customers.plan.houses import PRICES, feature, house, leg
from tests.factories import make_home, make_job, make_plan, make_price_book

BARE = house(
    feature("pipe-1", "pipe", leg="leg-2"),
    feature("door-1", "door", leg="leg-1", width_mm=Decimal(914), sill_mm=Decimal(0)),
    legs=tuple(leg(n, mm, strip="") for n, mm in enumerate((10_000, 8_000, 10_000, 8_000), 1)),
)


def takes(document: PlanDocument) -> dict[str, Decimal]:
    outlook = Outlook(prices=PRICES)
    closing = check_plan(document, outlook).cheapest_closing
    assert closing is not None
    found = needed(document, closing, outlook)
    assert sum(PRICES[code] * amount for code, amount in found.items()) == closing.cost
    return found


def test_walls_less_their_doorways_and_what_the_doorway_takes() -> None:
    """36 m round; the riser at the door has its own strip below it."""
    assert takes(BARE) == {"strip": 36, "sill riser": Decimal("0.914"), "collar": 1}


def test_nothing_is_needed_where_the_strip_is_sound() -> None:
    assert takes(replace(BARE, features=(), walks=house().walks)) == {}


def test_lengths_are_sold_by_the_foot_and_pieces_by_the_piece() -> None:
    found = {"strip": Decimal("30.48"), "collar": Decimal(2), "cut back": Decimal(1)}
    sold = [("collar", "each"), ("strip-glass", "ft"), ("sill-riser", "ft")]

    assert dict(take_off(found, sold, DETAIL_OF)) == {"collar": 2, "strip-glass": 100}


@pytest.mark.django_db
def test_a_new_offer_holds_what_the_plan_takes(office: Client) -> None:
    make_price_book().prices.filter(code="sill-riser").update(unit="ft")
    job = make_job(home=make_home(), stage="measured")
    unmeasured = feature("door-2", "door", leg="leg-3", width_mm=Decimal(0))
    make_plan(home=job.home, document=replace(BARE, features=(*BARE.features, unmeasured)))

    page = office.post(reverse("offer-new", args=[job.number]), follow=True).content.decode()

    lines = {line.code: line.quantity for line in Offer.objects.get().lines.all()}
    assert lines["strip-glass"] == Decimal("118.11")  # 36 m
    assert lines["collar"] == 1
    assert "read off the plan" in page
    assert "the plan holds no width for it" in page


@pytest.mark.django_db
def test_without_a_plan_the_office_is_told_and_enters_the_lines(office: Client) -> None:
    make_price_book()
    job = make_job(home=make_home(), stage="measured")

    page = office.post(reverse("offer-new", args=[job.number]), follow=True).content.decode()

    assert not Offer.objects.get().lines.exists()
    assert "No plan of this home has been walked" in page
