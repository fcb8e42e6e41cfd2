"""A reader of the few words of JSON Schema that ours use."""

import re
from typing import Any

TYPES: dict[str, type | tuple[type, ...]] = {
    "string": str,
    "boolean": bool,
    "integer": int,
    "array": list,
    "object": dict,
    "null": type(None),
}


def faults(value: Any, schema: dict[str, Any], whole: dict[str, Any], at: str = "") -> list[str]:
    """Where a value differs from a schema; nothing where it does not."""
    if "$ref" in schema:
        schema = whole["$defs"][schema["$ref"].rpartition("/")[2]]
    if "anyOf" in schema:
        tried = [faults(value, each, whole, at) for each in schema["anyOf"]]
        return min(tried, key=len)
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
