"""Prices by the foot become prices by the metre, as the plan counts."""

from decimal import Decimal

from jobs.asfitted import DETAIL_OF
from jobs.pricing import plan_prices

BY_METRE = {"strip", "aluminium strip", "sill riser"}


def test_a_strip_by_the_foot_is_priced_by_the_metre() -> None:
    amounts, by_piece = plan_prices([("strip-glass", "ft", Decimal(24))], DETAIL_OF, BY_METRE)

    assert round(amounts["strip"] * Decimal("6.096"), 6) == 480  # 20 ft
    assert by_piece == frozenset()


def test_a_metre_stays_a_metre() -> None:
    assert plan_prices([("strip-glass", "m", Decimal(79))], DETAIL_OF, BY_METRE)[0] == {"strip": 79}


def test_what_is_sold_by_the_piece_is_said_so() -> None:
    sold = [("sill-riser", "each", Decimal(210)), ("collar", "each", Decimal(45))]

    amounts, by_piece = plan_prices(sold, DETAIL_OF, BY_METRE)

    assert amounts == {"sill riser": 210, "collar": 45}
    assert by_piece == {"sill riser", "collar"}


def test_a_unit_that_makes_no_sense_is_left_out() -> None:
    sold = [
        ("collar", "ft", Decimal(45)),
        ("strip-glass", "hour", Decimal(1)),
        ("visit", "each", Decimal(9)),
    ]

    assert plan_prices(sold, DETAIL_OF, BY_METRE) == ({}, frozenset())
