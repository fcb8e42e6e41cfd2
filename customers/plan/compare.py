"""What has changed between two versions of a plan, said in words.

Things are the same when their ids are. Lengths are given as a tape shows them, in the unit of the
later plan. What changed alike on several legs is said once.
"""

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import fields
from decimal import Decimal
from typing import Any

from customers.plan.document import Feature, Fitted, Leg, PlanDocument, Touch, Walk, in_words
from customers.plan.drawing.words import in_language
from shared.length import Length, System, length_text
from shared.wording import Translate, gettext_noop

LABELS = {
    "length_mm": gettext_noop("length"),
    "turn_deg": gettext_noop("turn"),
    "rise_mm": gettext_noop("rise of the curve"),
    "surface": gettext_noop("surface"),
    "strip": gettext_noop("strip"),
    "strip_height_mm": gettext_noop("height of the strip"),
    "strip_state": gettext_noop("state of the strip"),
    "inside_dry": gettext_noop("inside a dry garage"),
    "name": gettext_noop("name"),
    "kind": gettext_noop("kind"),
    "leg": gettext_noop("leg"),
    "at_mm": gettext_noop("distance along the leg"),
    "width_mm": gettext_noop("width"),
    "out_mm": gettext_noop("reach from the wall"),
    "clearance_mm": gettext_noop("clearance"),
    "refused": gettext_noop("details refused"),
    "sill_mm": gettext_noop("height of the sill"),
    "growth": gettext_noop("growth"),
    "needs_mm": gettext_noop("clearance needed"),
    "note": gettext_noop("note"),
    "north_deg": gettext_noop("direction of north"),
    "north_known": gettext_noop("north known"),
}
GONE = gettext_noop("{thing} is gone.")
NEW = gettext_noop("{thing} is new.")
CHANGED = gettext_noop("{thing}: {field} was {was}, is {now}.")
CLEARANCE = gettext_noop("{thing}: clearance to {other} was {was}, is {now}.")
DETAIL = gettext_noop("{thing}: at {place} there was {was}, is {now}.")
FITTED = gettext_noop("a {detail}, {state}")
LEGS = gettext_noop("Legs {numbers}")
RUN = gettext_noop("{first} to {last}")
PLAN, NOTHING = gettext_noop("Plan"), gettext_noop("nothing")
NOT_NAMED, NOT_MEASURED = gettext_noop("not named"), gettext_noop("not measured")
YES, NO, NONE = gettext_noop("yes"), gettext_noop("no"), gettext_noop("none")
TOUCHING = gettext_noop("touching")
PLACES = (gettext_noop("foot"), gettext_noop("sill"))  # keys of contacts, as they are spoken
NUMBERED = re.compile(r"leg-([0-9]+)")


def differences(
    before: PlanDocument, after: PlanDocument, *, translate: Translate = str
) -> list[str]:
    """Return what changed, walks first, then features; empty where nothing did."""
    system: System = "metric" if after.unit_hint == "m" else "imperial"
    return list(_Comparison(system, translate).of(before, after))


class _Comparison:
    def __init__(self, system: System, translate: Translate) -> None:
        self.system = system
        self.tr = translate

    def of(self, before: PlanDocument, after: PlanDocument) -> Iterator[str]:
        yield from self.fields_of(self.tr(PLAN), before, after)
        yield from self.pairs(
            {walk.id: walk for walk in before.walks}, {walk.id: walk for walk in after.walks}
        )
        yield from self.of_legs(
            {leg.id: leg for _, leg in before.legs}, {leg.id: leg for _, leg in after.legs}
        )
        yield from self.pairs(
            {each.id: each for each in before.features}, {each.id: each for each in after.features}
        )

    def of_legs(self, before: Mapping[str, Leg], after: Mapping[str, Leg]) -> Iterator[str]:
        """As pairs, but what several numbered legs have in common is said of all of them."""
        alike: defaultdict[tuple[str, str], list[str]] = defaultdict(list)
        for an_id in dict.fromkeys([*before, *after]):
            old, new = ({an_id: legs[an_id]} if an_id in legs else {} for legs in (before, after))
            name = self.spoken((new or old)[an_id])
            for said in self.pairs(old, new):
                rest = said.removeprefix(name)
                alike[rest, "" if rest.startswith(":") else an_id].append(an_id)
        for (rest, _), ids in alike.items():
            yield self.legs_named(ids) + rest

    def legs_named(self, ids: list[str]) -> str:
        numbers = [int(found[1]) for each in ids if (found := NUMBERED.fullmatch(each))]
        if len(ids) == 1 or len(numbers) < len(ids):
            return ", ".join(_capital(in_language(in_words(each), self.tr)) for each in ids)
        runs: list[list[int]] = []
        for number in numbers:
            if runs and runs[-1][-1] == number - 1:
                runs[-1].append(number)
            else:
                runs.append([number])
        said = (
            self.tr(RUN).format(first=run[0], last=run[-1]) if len(run) > 1 else str(run[0])
            for run in runs
        )
        return self.tr(LEGS).format(numbers=", ".join(said))

    def pairs(self, before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[str]:
        for an_id in [*before, *(an_id for an_id in after if an_id not in before)]:
            old, new = before.get(an_id), after.get(an_id)
            if new is None:
                yield self.tr(GONE).format(thing=self.spoken(before[an_id]))
            elif old is None:
                yield self.tr(NEW).format(thing=self.spoken(new))
            elif old != new:
                yield from self.fields_of(self.spoken(new), old, new)
                if isinstance(new, Feature):
                    yield from self.touches(old, new)
                    yield from self.details(old, new)

    def fields_of(self, name: str, old: Any, new: Any) -> Iterator[str]:
        for each in fields(new):
            was, now = getattr(old, each.name), getattr(new, each.name)
            if each.name in LABELS and was != now:
                yield self.tr(CHANGED).format(
                    thing=name,
                    field=self.tr(LABELS[each.name]),
                    was=self.said(each.name, was),
                    now=self.said(each.name, now),
                )

    def touches(self, old: Feature, new: Feature) -> Iterator[str]:
        before = {touch.id: touch for touch in old.touches}
        after = {touch.id: touch for touch in new.touches}
        for an_id in dict.fromkeys([*before, *after]):
            was, now = self.touch(before.get(an_id)), self.touch(after.get(an_id))
            if was != now:
                other = in_language(in_words(an_id), self.tr)
                yield self.tr(CLEARANCE).format(
                    thing=self.spoken(new), other=other, was=was, now=now
                )

    def touch(self, touch: Touch | None) -> str:
        return (
            self.tr(NOT_NAMED) if touch is None else self.said("clearance_mm", touch.clearance_mm)
        )

    def details(self, old: Feature, new: Feature) -> Iterator[str]:
        for key in dict.fromkeys([*old.details, *new.details]):
            was, now = self.fitted(old.details.get(key)), self.fitted(new.details.get(key))
            if was != now:
                place = self.placed(in_words(key))
                yield self.tr(DETAIL).format(thing=self.spoken(new), place=place, was=was, now=now)

    def fitted(self, fitted: Fitted | None) -> str:
        if fitted is None:
            return self.tr(NOTHING)
        return self.tr(FITTED).format(detail=self.tr(fitted.detail), state=self.tr(fitted.state))

    def spoken(self, thing: Walk | Leg | Feature) -> str:
        name = "" if isinstance(thing, Leg) else thing.name
        spoken = in_language(in_words(thing.id), self.tr)
        return _capital(f"{name} ({spoken})" if name and name != spoken else spoken)

    def said(self, field: str, value: Any) -> str:
        if value is None:
            return self.tr(NOT_MEASURED)
        if isinstance(value, bool):
            return self.tr(YES if value else NO)
        if isinstance(value, tuple):
            return ", ".join(self.tr(each) for each in value) or self.tr(NONE)
        if isinstance(value, Decimal):
            return self.measure(field, value)
        return self.worded(field, str(value)) if value else self.tr(NONE)

    def placed(self, words: str) -> str:
        """A place or a word of the plan's own: neither is what people wrote."""
        said = in_language(words, self.tr)
        return self.tr(words) if said == words else said

    def worded(self, field: str, value: str) -> str:
        """What people wrote stays theirs; our own words are in the reader's language."""
        return value if field in ("name", "note") else self.placed(in_words(value))

    def measure(self, field: str, value: Decimal) -> str:
        if field.endswith("_deg"):
            return f"{value.normalize():f}°"
        if field == "clearance_mm" and not value:
            return self.tr(TOUCHING)
        sign = "-" if value < 0 else ""
        return sign + length_text(Length(abs(value)), self.system)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
