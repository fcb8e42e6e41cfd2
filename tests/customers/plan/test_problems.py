from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from customers.plan.contacts import check_plan
from customers.plan.document import Feature, Fitted, PlanDocument, Walk
from customers.plan.features import strip_height
from customers.plan.problems import cautions, problems
from tests.customers.plan.houses import PRICES, feature, house, leg, touch


def pipe(**changes: Any) -> PlanDocument:
    return house(feature("pipe-1", "pipe", **changes))


def pair(first: Feature, second: Feature) -> PlanDocument:
    return house(first, second)


FITTED = Fitted(detail="collar", state="sound")

CASES: list[tuple[PlanDocument, str, str, str]] = [
    (PlanDocument(), "plan", "walks", "No wall meets the ground"),
    (
        PlanDocument(walks=(replace(house().walks[0], kind="outbuilding"),)),
        "plan",
        "walks",
        "No wall meets the ground",
    ),
    (replace(house(), unit_hint="ell"), "plan", "unit_hint", "ft, m"),
    (house(legs=(leg(2, 0),)), "leg-2", "length_mm", "no length"),
    (house(legs=(leg(2, -5),)), "leg-2", "length_mm", "below zero"),
    (house(legs=(leg(2, 9_000_000),)), "leg-2", "length_mm", "Is the unit right?"),
    (house(legs=(leg(2, surface="straw"),)), "leg-2", "surface", "is one of stucco"),
    (house(legs=(leg(2, strip="tin"),)), "leg-2", "strip", "none, glass, aluminium"),
    (house(legs=(leg(2, strip_state="fine"),)), "leg-2", "strip_state", "sound, damaged, unknown"),
    (house(legs=(leg(2, strip_height_mm=Decimal(-1)),)), "leg-2", "strip_height_mm", "below the"),
    (replace(house(), walks=(replace(house().walks[0], kind="tent"),)), "walk-1", "kind", "house"),
    (
        replace(house(), walks=(*house().walks, Walk(id="walk-2", legs=()))),
        "walk-2",
        "legs",
        "at least three legs",
    ),
    (pipe(leg="leg-9"), "pipe-1", "leg", "there is no leg 'leg-9'"),
    (pipe(leg=""), "pipe-1", "leg", "there is no leg ''"),
    (pipe(at_mm=Decimal(10_002)), "pipe-1", "at_mm", "beyond the end of leg 1"),
    (pipe(at_mm=Decimal(-2)), "pipe-1", "at_mm", "beyond the end of leg 1"),
    (
        house(feature("door-1", "door", at_mm=Decimal(9_900))),
        "door-1",
        "at_mm",
        "beyond the end of leg 1",
    ),
    (pipe(width_mm=Decimal(-1)), "pipe-1", "width_mm", "below zero"),
    (pipe(width_mm=Decimal(200_000)), "pipe-1", "width_mm", "over 100 m"),
    (pipe(clearance_mm=Decimal(-1)), "pipe-1", "clearance_mm", "below zero"),
    (pipe(touches=(touch("pool-1"),)), "pipe-1", "touches", "there is no 'pool-1' to touch"),
    (pipe(touches=(touch("pipe-1"),)), "pipe-1", "touches", "cannot touch itself"),
    (pipe(touches=(touch("leg-1"),)), "pipe-1", "touches", "stands at leg 1 anyway"),
    (pipe(touches=(touch("leg-2"), touch("leg-2"))), "pipe-1", "touches", "named twice"),
    (pipe(touches=(touch("leg-2", -1),)), "pipe-1", "touches", "below zero"),
    (
        pair(
            feature("pipe-1", "pipe", touches=(touch("wall-1"),)),
            feature("wall-1", "garden wall", touches=(touch("pipe-1"),)),
        ),
        "pipe-1",
        "touches",
        "names this contact too",
    ),
    (pipe(details={"roof": FITTED}), "pipe-1", "details", "makes no contact 'roof'"),
    (
        pipe(details={"foot": replace(FITTED, detail="moat")}),
        "pipe-1",
        "details",
        "there is no detail 'moat'",
    ),
    (
        pipe(details={"foot": replace(FITTED, detail="cap")}),
        "pipe-1",
        "details",
        "cap does not bar 'foot'",
    ),
    (
        house(feature("gate-1", "gate", details={"foot": FITTED})),
        "gate-1",
        "details",
        "is climbed anywhere",
    ),
    (
        pipe(details={"foot": replace(FITTED, state="ok")}),
        "pipe-1",
        "details",
        "the state of a detail is one",
    ),
    (pipe(refused=("moat",)), "pipe-1", "refused", "there is no detail 'moat'"),
    (pipe(growth="wild"), "pipe-1", "growth", "slow"),
    (house(feature("leg-1", "pipe")), "leg-1", "id", "2 things are called leg-1"),
    (house(feature("a/b", "pipe")), "a/b", "id", "cannot be the name"),
]


@pytest.mark.parametrize(
    ("document", "where", "field", "says"), CASES, ids=[f"{case[2]}: {case[3]}" for case in CASES]
)
def test_says_what_is_wrong_at_its_field(
    document: PlanDocument, where: str, field: str, says: str
) -> None:
    found = [
        each.message for each in problems(document) if (each.where, each.field) == (where, field)
    ]

    assert any(says in message for message in found), problems(document)
    assert not check_plan(document).closed


def test_a_walk_that_crosses_itself_is_a_problem() -> None:
    crossed = tuple(leg(number, 5_000) for number in range(1, 9))
    document = replace(house(), walks=(replace(house().walks[0], legs=crossed),))

    assert problems(document)
    assert not check_plan(document).closed


def test_a_feature_on_a_curve_may_stand_as_far_as_the_curve_goes() -> None:
    curved = leg(1, rise_mm=Decimal(-2_000))
    on_curve = feature("pipe-1", "pipe", at_mm=Decimal(10_900))

    assert not [each for each in problems(house(on_curve, legs=(curved,))) if each.field == "at_mm"]
    assert [each for each in problems(house(on_curve)) if each.field == "at_mm"]


def test_block_takes_a_height_of_a_foot_unless_measured() -> None:
    assert strip_height(leg(1, surface="block")) == Decimal("304.8")
    assert strip_height(leg(1, surface="block", strip_height_mm=Decimal(200))) == 200
    assert strip_height(leg(1)) is None


def test_a_low_strip_on_block_and_glass_on_stone_are_asked_about() -> None:
    low = house(legs=(leg(1, surface="block", strip_height_mm=Decimal(100)),))
    rough = house(legs=(leg(1, surface="stone"),))

    assert ["soil" in each.text for each in cautions(low)] == [True]
    assert ["flat, sound face" in each.text for each in cautions(rough)] == [True]
    assert cautions(house(legs=(leg(1, surface="block"),))) == []


def test_every_detail_of_the_table_has_a_test_price() -> None:
    from customers.plan.features import DETAILS  # noqa: PLC0415

    assert set(DETAILS) == set(PRICES)


SPANISH = {
    "{name}: it lies beyond the end of {leg}.": "{name}: queda más allá del final de {leg}.",
    "{leg}: this is one of {allowed}.": "{leg}: esto es uno de {allowed}.",
    "leg {number}": "tramo {number}",
    "none": "nada",
    "glass": "vidrio",
    "{leg} has no length.": "{leg} no tiene longitud.",
}


def test_problems_are_said_in_the_reader_s_language() -> None:
    document = house(
        feature("pipe-1", "pipe", name="drain", at_mm=Decimal(99_000)),
        legs=(leg(2, strip="tin"), leg(3, 0)),
    )

    said = [
        each.said(translate=lambda text: SPANISH.get(text, text)) for each in problems(document)
    ]

    assert "Tramo 3 no tiene longitud." in said
    assert "Tramo 2: esto es uno de nada, vidrio, aluminium." in said
    assert "Drain: queda más allá del final de tramo 1." in said
