import json
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from customers.plan.contacts import Outlook, check_plan
from customers.plan.document import (
    Feature,
    Fitted,
    Leg,
    PlanDocument,
    Touch,
    UnreadablePlan,
    Walk,
    from_json,
)
from customers.plan.problems import problems
from tests.customers.plan.houses import PRICES

PLAN: dict[str, Any] = {
    "schema": 1,
    "walks": [
        {
            "id": "walk-1",
            "name": "House",
            "kind": "house",
            "legs": [
                {
                    "id": "leg-1",
                    "length_mm": "7480.3000",
                    "turn_deg": "90",
                    "rise_mm": "0",
                    "surface": "block",
                    "strip": "glass",
                    "strip_height_mm": "304.8",
                    "strip_state": "sound",
                    "inside_dry": False,
                }
            ],
        }
    ],
    "features": [
        {
            "id": "plant-2",
            "kind": "plant on the ground",
            "name": "lantana",
            "leg": "leg-1",
            "at_mm": "1200.5",
            "width_mm": "600",
            "out_mm": "450",
            "touches": [{"id": "wall-1", "clearance_mm": "25.4"}],
            "clearance_mm": None,
            "details": {"foot": {"detail": "collar", "state": "damaged"}},
            "refused": ["cut back"],
            "sill_mm": None,
            "growth": "fast",
            "needs_mm": "300",
            "note": "Planted in 2024.",
        }
    ],
    "north_deg": "90",
    "north_known": True,
    "unit_hint": "ft",
}


def changed(*path: str | int, to: object) -> dict[str, Any]:
    plan: dict[str, Any] = json.loads(json.dumps(PLAN))
    place: Any = plan
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = to
    return plan


def test_the_round_trip_is_exact() -> None:
    document = from_json(json.loads(json.dumps(PLAN)))

    assert document.to_json() == PLAN
    assert from_json(document.to_json()) == document
    assert document.walks[0].legs[0].length_mm == Decimal("7480.3000")
    assert hash(document) == hash(from_json(PLAN))


def test_what_is_left_out_takes_its_default() -> None:
    document = from_json({"schema": 1, "walks": [{"id": "walk-1"}]})

    assert document.features == ()
    assert document.walks[0].kind == "house"
    assert from_json(document.to_json()) == document


def test_finds_legs_and_features_by_id() -> None:
    document = from_json(PLAN)

    assert document.leg("leg-1") is document.walks[0].legs[0]
    assert document.feature("plant-2") is document.features[0]
    assert document.leg("leg-9") is None
    assert document.feature("plant-9") is None


@pytest.mark.parametrize(
    ("plan", "says"),
    [
        ([], "plan: expected an object"),
        ({}, "reads schema 1, not None"),
        (changed("schema", to=2), "reads schema 1, not 2"),
        (changed("schema", to=True), "reads schema 1, not True"),
        (changed("colour", to="red"), "does not know the field 'colour'"),
        (changed("walks", to={}), r"plan.walks: expected a list"),
        (changed("walks", 0, to="x"), r"plan.walks\[0\]: expected an object"),
        (changed("walks", 0, "legs", 0, "length_mm", to="ten"), r"length_mm: 'ten' is no number"),
        (changed("walks", 0, "legs", 0, "length_mm", to="NaN"), r"length_mm: 'NaN' is no finite"),
        (changed("walks", 0, "legs", 0, "length_mm", to="1e99"), "is no measure of a home"),
        (changed("walks", 0, "legs", 0, "length_mm", to="1e-99"), "is no measure of a home"),
        (changed("walks", 0, "legs", 0, "length_mm", to=True), r"length_mm: expected a number"),
        (changed("walks", 0, "legs", 0, "inside_dry", to="no"), "inside_dry: expected true or"),
        (changed("walks", 0, "legs", 0, to={"id": "leg-1"}), "field 'length_mm' is missing"),
        (changed("features", 0, "name", to=7), r"features\[0\].name: expected text"),
        (changed("features", 0, "details", to={"foot": 3}), r"details.foot: expected an object"),
    ],
)
def test_refuses_what_it_cannot_keep(plan: object, says: str) -> None:
    with pytest.raises(UnreadablePlan, match=says):
        PlanDocument.from_json(plan)


# Whatever a survey may hold, sensible or not.
words = st.text(max_size=8)
measures = st.decimals(-(10**9), 10**9, places=4, allow_nan=False, allow_infinity=False)
fitted = st.builds(Fitted, detail=words, state=words)
touches = st.builds(Touch, id=words, clearance_mm=st.none() | measures)
legs = st.builds(
    Leg,
    id=words,
    length_mm=measures,
    turn_deg=measures,
    rise_mm=measures,
    surface=words,
    strip=words,
    strip_height_mm=st.none() | measures,
    strip_state=words,
    inside_dry=st.booleans(),
)
walks = st.builds(
    Walk, id=words, name=words, kind=words, legs=st.lists(legs, max_size=3).map(tuple)
)
features = st.builds(
    Feature,
    id=words,
    kind=words,
    name=words,
    leg=words,
    at_mm=measures,
    width_mm=measures,
    out_mm=measures,
    touches=st.lists(touches, max_size=2).map(tuple),
    clearance_mm=st.none() | measures,
    details=st.dictionaries(words, fitted, max_size=2),
    refused=st.lists(words, max_size=2).map(tuple),
    sill_mm=st.none() | measures,
    growth=words,
    needs_mm=st.none() | measures,
    note=words,
)
documents = st.builds(
    PlanDocument,
    walks=st.lists(walks, max_size=2).map(tuple),
    features=st.lists(features, max_size=3).map(tuple),
    north_deg=measures,
    north_known=st.booleans(),
    unit_hint=words,
)


@given(documents)
def test_any_plan_survives_the_round_trip_through_text(document: PlanDocument) -> None:
    text = json.dumps(document.to_json())

    assert from_json(json.loads(text)) == document
    assert json.dumps(from_json(json.loads(text)).to_json()) == text


@given(documents)
def test_a_ring_check_of_any_plan_answers_and_never_closes_what_is_wrong(
    document: PlanDocument,
) -> None:
    check = check_plan(document, Outlook(prices=PRICES))

    assert not (check.closed and problems(document))
