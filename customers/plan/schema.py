"""The shape of a plan's JSON as a JSON Schema (draft 2020-12), for whoever reads a certificate.

It describes what PlanDocument.to_json writes. Words are listed where the plan has a vocabulary;
a plan may be kept with others, and customers.plan.problems then says so.
"""

from collections.abc import Mapping
from dataclasses import MISSING, fields, is_dataclass
from decimal import Decimal
from types import NoneType
from typing import Any, get_args, get_origin, get_type_hints

from customers.plan.document import (
    GROWTH_CLASSES,
    SCHEMA,
    STATES,
    STRIPS,
    SURFACES,
    UNITS,
    WALK_KINDS,
    Feature,
    Fitted,
    Leg,
    PlanDocument,
    Touch,
    Walk,
)
from customers.plan.features import DETAILS, KINDS

DIALECT = "https://json-schema.org/draft/2020-12/schema"
DECIMAL = r"^-?[0-9]+(\.[0-9]+)?(E[+-]?[0-9]+)?$"
WORDS: Mapping[tuple[type, str], tuple[str, ...]] = {
    (Walk, "kind"): WALK_KINDS,
    (Leg, "surface"): SURFACES,
    (Leg, "strip"): STRIPS,
    (Leg, "strip_state"): STATES,
    (Feature, "kind"): tuple(KINDS),
    (Feature, "growth"): GROWTH_CLASSES,
    (Fitted, "detail"): tuple(DETAILS),
    (Fitted, "state"): STATES,
    (PlanDocument, "unit_hint"): UNITS,
}


def json_schema() -> dict[str, Any]:
    """Return the schema of a plan. Lengths are in mm, angles in degrees, both as decimal text."""
    plan = _of_class(PlanDocument)
    plan["properties"] = {"schema": {"const": SCHEMA}, **plan["properties"]}
    plan["required"] = ["schema", *plan["required"]]
    parts = (Walk, Leg, Feature, Touch, Fitted)
    return {
        "$schema": DIALECT,
        "title": "Plan of a home's outside",
        **plan,
        "$defs": {part.__name__: _of_class(part) for part in parts},
    }


def _of_class(cls: type) -> dict[str, Any]:
    hints = get_type_hints(cls)
    properties = {}
    for each in fields(cls):
        properties[each.name] = _of_type(hints[each.name])
        if words := WORDS.get((cls, each.name)):
            properties[each.name]["enum"] = list(words)
    return {
        "type": "object",
        "properties": properties,
        "required": [
            each.name
            for each in fields(cls)
            if each.default is MISSING and each.default_factory is MISSING
        ],
        "additionalProperties": False,
    }


def _of_type(hint: Any) -> dict[str, Any]:
    if is_dataclass(hint) and isinstance(hint, type):
        return {"$ref": f"#/$defs/{hint.__name__}"}
    inner = get_args(hint)
    if NoneType in inner:
        known = _of_type(next(each for each in inner if each is not NoneType))
        return {**known, "type": [known["type"], "null"]}
    if get_origin(hint) is tuple:
        return {"type": "array", "items": _of_type(inner[0])}
    if get_origin(hint) is Mapping:
        return {"type": "object", "additionalProperties": _of_type(inner[1])}
    simple: dict[type, dict[str, Any]] = {
        str: {"type": "string"},
        bool: {"type": "boolean"},
        Decimal: {"type": "string", "pattern": DECIMAL},
    }
    return dict(simple[hint])
