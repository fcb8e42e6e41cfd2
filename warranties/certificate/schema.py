"""The shape of "certificate.json" as a JSON Schema (draft 2020-12), for whoever reads one.

`record.SCHEMA` names its version; a change that a reader must know of makes a new one. The plan
within has a schema of its own: customers/plan/schema.py.
"""

from typing import Any

from customers.plan.schema import DIALECT
from customers.plan.schema import json_schema as plan_schema
from shared.models import languages
from warranties.certificate.record import SCHEMA
from warranties.models.terms import bases

DAY = r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"
DAY_OR_NONE = r"^([0-9]{4}-[0-9]{2}-[0-9]{2})?$"
Shape = dict[str, Any]


def json_schema() -> Shape:
    """Return the schema of a certificate's record."""
    plan = plan_schema()
    parts = plan.pop("$defs")
    whole = _object(_fields())
    return {
        "$schema": DIALECT,
        "title": "Certificate of a promise to repair",
        **whole,
        "$defs": {**parts, "Plan": plan},
    }


def _fields() -> dict[str, Shape]:
    return {
        "schema": {"const": SCHEMA},
        "number": _text("The promise's number.", r"^RK-[0-9]{4}-[0-9]{5,9}-[0-9]{2}$"),
        "edition": {"type": "integer", "description": "Counted from 1; the newest holds."},
        "language": _one_of(dict(languages()), "In which it is printed."),
        "issued_at": _text("The moment of issue, with its zone (ISO 8601)."),
        "issued_on": _text("The day of issue at the home.", DAY),
        "check_address": _text("Where the code on the first page leads."),
        "firm": _texts("Who promises.", "name", "address", "phone", "email"),
        "home": _object(
            {"lines": _many(_text("One line of its address.")), "country": _text("Two letters.")}
        ),
        "holder": _text("Who holds the promise: every owner, parted by commas."),
        "basis": _one_of(dict(bases()), "Whose life it lasts for (16 CFR 239.4)."),
        "starts_on": _text("The first day on which it holds.", DAY),
        "clearance": _text("How far plants are kept from the building."),
        "fitted": _many(_texts("A detail and all its places.", "code", "places")),
        "proof": _object(
            {"on": _text("The day of the proof.", DAY_OR_NONE), "by": _text("By whom.")}
        ),
        "exceptions": _many(_text("What is not covered at this home.")),
        "plants": _many(_texts("A plant to watch.", "name", "place", "keep")),
        "plan": {"anyOf": [{"$ref": "#/$defs/Plan"}, {"const": {}}]},
        "terms": _terms(),
    }


def _terms() -> Shape:
    return _object(
        {
            "paper": {"const": "promise"},
            "version": {"type": "integer", "description": "Of the terms; it never changes."},
            "title": _text("With its designation (15 USC 2303)."),
            "body": _text("In full, every name filled in, in the marks of warranties/clauses.py."),
            "counsel": _text("Who approved them; empty for a draft."),
            "counsel_on": _text("When.", DAY_OR_NONE),
        }
    )


def _object(properties: dict[str, Shape]) -> Shape:
    """All of them are always there, and nothing else."""
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def _text(description: str, pattern: str = "") -> Shape:
    shape = {"type": "string", "description": description}
    return {**shape, "pattern": pattern} if pattern else shape


def _texts(description: str, *names: str) -> Shape:
    return {**_object({name: _text("") for name in names}), "description": description}


def _many(items: Shape) -> Shape:
    return {"type": "array", "items": items}


def _one_of(words: dict[str, str], description: str) -> Shape:
    return {"type": "string", "enum": list(words), "description": description}
