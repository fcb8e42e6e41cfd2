"""The published shape agrees with what is written: checked by a reader of the few words it uses."""

import re
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from customers.plan.document import from_json
from customers.plan.features import KINDS
from customers.plan.schema import json_schema
from tests.customers.plan.houses import feature, fit, house, leg, touch

TYPES: dict[str, type | tuple[type, ...]] = {
    "string": str,
    "boolean": bool,
    "array": list,
    "object": dict,
    "null": type(None),
}


def faults(value: Any, schema: dict[str, Any], whole: dict[str, Any], at: str = "") -> list[str]:
    if "$ref" in schema:
        schema = whole["$defs"][schema["$ref"].rpartition("/")[2]]
    if "const" in schema:
        return [] if value == schema["const"] else [at]
    kinds = schema["type"] if isinstance(schema["type"], list) else [schema["type"]]
    if not any(isinstance(value, TYPES[kind]) for kind in kinds):
        return [at]
    if isinstance(value, str):
        fits = re.search(schema.get("pattern", ""), value) and value in schema.get("enum", [value])
        return [] if fits else [at]
    if isinstance(value, list):
        return [
            fault
            for index, item in enumerate(value)
            for fault in faults(item, schema["items"], whole, f"{at}[{index}]")
        ]
    return of_object(value, schema, whole, at) if isinstance(value, dict) else []


def of_object(
    value: dict[str, Any], schema: dict[str, Any], whole: dict[str, Any], at: str
) -> list[str]:
    found = [f"{at}.{name}" for name in schema.get("required", []) if name not in value]
    for name, item in value.items():
        inner = schema.get("properties", {}).get(name, schema["additionalProperties"])
        found += faults(item, inner, whole, f"{at}.{name}") if inner else [f"{at}.{name}"]
    return found


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
