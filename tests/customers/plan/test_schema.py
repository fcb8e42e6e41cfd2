"""The published shape agrees with what is written: checked by a reader of the few words it uses."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from customers.plan.document import from_json
from customers.plan.features import KINDS
from customers.plan.schema import json_schema
from tests.customers.plan.houses import feature, fit, house, leg, touch
from tests.schemas import faults


def plan() -> dict[str, Any]:
    document = house(
        *(feature(f"thing-{place}", kind) for place, kind in enumerate(KINDS)),
        feature("pipe-1", "pipe", clearance_mm=None, touches=(touch("leg-2"),), refused=("cap",)),
        legs=(leg(1, strip_height_mm=Decimal("304.8"), rise_mm=Decimal("1E+2")),),
    )
    return fit(document, {"pipe-1/foot": "collar"}).to_json()


def test_what_is_written_has_the_published_shape() -> None:
    schema = json_schema()

    assert faults(plan(), schema, schema) == []
    assert set(plan()) == set(schema["properties"])


@pytest.mark.parametrize(
    ("change", "at"),
    [
        ({"schema": 2}, ".schema"),
        ({"walks": None}, ".walks"),
        ({"north_deg": 90}, ".north_deg"),
        ({"north_deg": "east"}, ".north_deg"),
        ({"unit_hint": "ell"}, ".unit_hint"),
        ({"colour": "red"}, ".colour"),
        ({"features": [{"id": "pipe-1", "kind": "pipe"}]}, ".features[0].leg"),
    ],
)
def test_the_shape_refuses_what_is_not_a_plan(change: dict[str, Any], at: str) -> None:
    schema = json_schema()

    assert at in faults({**plan(), **change}, schema, schema)


def test_what_the_shape_asks_for_is_what_the_reader_asks_for() -> None:
    least = {"schema": 1, "features": [{"id": "pipe-1", "kind": "pipe", "leg": "leg-1"}]}
    schema = json_schema()

    assert faults(least, schema, schema) == []
    assert replace(from_json(least), features=()) == from_json({"schema": 1})
