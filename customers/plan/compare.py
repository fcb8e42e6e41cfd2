"""What has changed between two versions of a plan, said in words.

Things are the same when their ids are. Lengths are given as a tape shows them, in the unit of the
later plan.
"""

from collections.abc import Iterator, Mapping
from dataclasses import fields
from decimal import Decimal
from typing import Any

from customers.plan.document import (
    Feature,
    Fitted,
    Leg,
    PlanDocument,
    Touch,
    Walk,
    in_words,
)
from shared.length import Length, System, length_text

LABELS = {
    "length_mm": "length",
    "turn_deg": "turn",
    "rise_mm": "rise of the curve",
    "surface": "surface",
    "strip": "strip",
    "strip_height_mm": "height of the strip",
    "strip_state": "state of the strip",
    "inside_dry": "inside a dry garage",
    "name": "name",
    "kind": "kind",
    "leg": "leg",
    "at_mm": "distance along the leg",
    "width_mm": "width",
    "out_mm": "reach from the wall",
    "clearance_mm": "clearance",
    "refused": "details refused",
    "sill_mm": "height of the sill",
    "growth": "growth",
    "needs_mm": "clearance needed",
    "note": "note",
    "north_deg": "direction of north",
    "north_known": "north known",
}


def differences(before: PlanDocument, after: PlanDocument) -> list[str]:
    """Return what changed, walks first, then features; empty where nothing did."""
    return list(_Comparison("metric" if after.unit_hint == "m" else "imperial").of(before, after))


class _Comparison:
    def __init__(self, system: System) -> None:
        self.system = system

    def of(self, before: PlanDocument, after: PlanDocument) -> Iterator[str]:
        yield from self.fields_of("Plan", before, after)
        yield from self.pairs(
            {walk.id: walk for walk in before.walks}, {walk.id: walk for walk in after.walks}
        )
        yield from self.pairs(
            {leg.id: leg for _, leg in before.legs}, {leg.id: leg for _, leg in after.legs}
        )
        yield from self.pairs(
            {each.id: each for each in before.features}, {each.id: each for each in after.features}
        )

    def pairs(self, before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[str]:
        for an_id in [*before, *(an_id for an_id in after if an_id not in before)]:
            old, new = before.get(an_id), after.get(an_id)
            if new is None:
                yield f"{_spoken(before[an_id])} is gone."
            elif old is None:
                yield f"{_spoken(new)} is new."
            elif old != new:
                yield from self.fields_of(_spoken(new), old, new)
                if isinstance(new, Feature):
                    yield from self.touches(old, new)
                    yield from self.details(old, new)

    def fields_of(self, name: str, old: Any, new: Any) -> Iterator[str]:
        for each in fields(new):
            was, now = getattr(old, each.name), getattr(new, each.name)
            if each.name in LABELS and was != now:
                label = LABELS[each.name]
                yield f"{name}: {label} was {self.said(each.name, was)}, is " + (
                    f"{self.said(each.name, now)}."
                )

    def touches(self, old: Feature, new: Feature) -> Iterator[str]:
        before = {touch.id: touch for touch in old.touches}
        after = {touch.id: touch for touch in new.touches}
        for an_id in dict.fromkeys([*before, *after]):
            was, now = self.touch(before.get(an_id)), self.touch(after.get(an_id))
            if was != now:
                yield f"{_spoken(new)}: clearance to {in_words(an_id)} was {was}, is {now}."

    def touch(self, touch: Touch | None) -> str:
        return "not named" if touch is None else self.said("clearance_mm", touch.clearance_mm)

    def details(self, old: Feature, new: Feature) -> Iterator[str]:
        for key in dict.fromkeys([*old.details, *new.details]):
            was, now = _fitted(old.details.get(key)), _fitted(new.details.get(key))
            if was != now:
                yield f"{_spoken(new)}: at {in_words(key)} there was {was}, is {now}."

    def said(self, field: str, value: Any) -> str:
        if value is None:
            return "not measured"
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, tuple):
            return ", ".join(value) or "none"
        if isinstance(value, Decimal):
            return self.measure(field, value)
        return str(value) or "none"

    def measure(self, field: str, value: Decimal) -> str:
        if field.endswith("_deg"):
            return f"{value.normalize():f}°"
        if field == "clearance_mm" and not value:
            return "touching"
        sign = "-" if value < 0 else ""
        return sign + length_text(Length(abs(value)), self.system)


def _fitted(fitted: Fitted | None) -> str:
    return f"a {fitted.detail}, {fitted.state}" if fitted else "nothing"


def _spoken(thing: Walk | Leg | Feature) -> str:
    name = "" if isinstance(thing, Leg) else thing.name
    spoken = in_words(thing.id)
    spoken = f"{name} ({spoken})" if name and name != spoken else spoken
    return spoken[:1].upper() + spoken[1:]
