"""Changes to a plan, one at a time: each takes a plan and returns the plan that follows.

What is readable but wrong may be saved, as a survey is wrong until it is done; what an edit itself
brings in that is wrong is told by new_problems, at the field, so that it can be refused.
Definition: Ringkeep's own.
"""

import re
from collections.abc import Callable, Collection, Iterable
from dataclasses import replace
from decimal import Decimal
from typing import Any

from customers.plan.document import FIRST_LEG_EAST, Feature, Leg, PlanDocument, Walk, in_words
from customers.plan.features import KINDS
from customers.plan.problems import Problem, problems
from customers.plan.walk import close_walk

Change = Callable[[PlanDocument], PlanDocument]


class NotEditable(ValueError):
    """The plan cannot be changed so. The message is fit to show a person."""


def next_id(document: PlanDocument, prefix: str, taken: Iterable[str] = ()) -> str:
    """Return the next free id of that prefix: leg-8 after leg-7, whatever lies between."""
    ids = [
        *taken,
        *(walk.id for walk in document.walks),
        *(leg.id for _, leg in document.legs),
        *(each.id for each in document.features),
    ]
    numbered = (re.fullmatch(rf"{re.escape(prefix)}-([0-9]+)", each) for each in ids)
    return f"{prefix}-{max((int(found[1]) for found in numbered if found), default=0) + 1}"


def feature_prefix(kind: str) -> str:
    """Return how ids of a kind begin: every plant is a plant."""
    known = KINDS.get(kind)
    return "plant" if known and known.is_plant else kind.replace(" ", "-")


def turn(document: PlanDocument, north_deg: Decimal | None) -> PlanDocument:
    """Return the plan with north where somebody took it; None: nobody did."""
    drawn = FIRST_LEG_EAST if north_deg is None else north_deg
    return replace(document, north_deg=drawn, north_known=north_deg is not None)


def add_walk(document: PlanDocument, walk: Walk) -> PlanDocument:
    return replace(document, walks=(*document.walks, walk))


def change_walk(document: PlanDocument, walk_id: str, **changes: Any) -> PlanDocument:
    walks = (replace(each, **changes) if each.id == walk_id else each for each in document.walks)
    return replace(document, walks=tuple(walks))


def remove_walk(document: PlanDocument, walk_id: str) -> PlanDocument:
    """Raises NotEditable where legs are left in it."""
    if any(each.legs for each in document.walks if each.id == walk_id):
        raise NotEditable("Remove the legs of this walk first.")
    return replace(document, walks=tuple(each for each in document.walks if each.id != walk_id))


def add_leg(document: PlanDocument, walk_id: str, leg: Leg, before: str = "") -> PlanDocument:
    """Return the plan with the leg at the end of the walk, or before another of its legs."""

    def with_leg(legs: tuple[Leg, ...]) -> tuple[Leg, ...]:
        at = next((i for i, each in enumerate(legs) if each.id == before), len(legs))
        return (*legs[:at], leg, *legs[at:])

    if all(each.id != walk_id for each in document.walks):
        raise NotEditable("This walk is no longer in the plan.")
    walks = (
        replace(each, legs=with_leg(each.legs)) if each.id == walk_id else each
        for each in document.walks
    )
    return replace(document, walks=tuple(walks))


def change_leg(document: PlanDocument, leg: Leg) -> PlanDocument:
    """Return the plan with this leg in the place of the one of its id."""
    return _with_legs(document, lambda each: (leg,) if each.id == leg.id else (each,))


def remove_leg(document: PlanDocument, leg_id: str) -> PlanDocument:
    """Raises NotEditable where something stands at the leg or touches it."""
    there = [each for each in document.features if each.leg == leg_id or _touches(each, leg_id)]
    if there:
        names = ", ".join(each.name or in_words(each.id) for each in there)
        raise NotEditable(f"Move or remove first what stands at {in_words(leg_id)}: {names}.")
    return _with_legs(document, lambda each: () if each.id == leg_id else (each,))


def add_feature(document: PlanDocument, feature: Feature) -> PlanDocument:
    return replace(document, features=(*document.features, feature))


def change_feature(document: PlanDocument, feature: Feature) -> PlanDocument:
    """Return the plan with this feature in the place of the one of its id."""
    features = (feature if each.id == feature.id else each for each in document.features)
    return replace(document, features=tuple(features))


def remove_feature(document: PlanDocument, feature_id: str) -> PlanDocument:
    """Return the plan without the feature, and without what others say of touching it."""
    features = (_without(each, feature_id) for each in document.features if each.id != feature_id)
    return replace(document, features=tuple(features))


def new_problems(before: PlanDocument, after: PlanDocument, ids: Collection[str]) -> list[Problem]:
    """Return what is wrong with these legs and features that was not wrong before.

    How a walk closes is no matter of one edit, and is left out: it is wrong until the last leg.
    """
    known = {(each.where, each.message) for each in problems(before)}
    readings = {problem for walk in after.walks for problem in close_walk(walk.legs).bad_readings}
    return [
        each
        for each in problems(after)
        if each.where in ids
        and (each.where, each.message) not in known
        and (each.walked is None or each.walked in readings)
    ]


def _with_legs(document: PlanDocument, instead: Callable[[Leg], tuple[Leg, ...]]) -> PlanDocument:
    walks = (
        replace(walk, legs=tuple(kept for leg in walk.legs for kept in instead(leg)))
        for walk in document.walks
    )
    return replace(document, walks=tuple(walks))


def _touches(feature: Feature, an_id: str) -> bool:
    return any(touch.id == an_id for touch in feature.touches)


def _without(feature: Feature, an_id: str) -> Feature:
    if not _touches(feature, an_id) and an_id not in feature.details:
        return feature
    return replace(
        feature,
        touches=tuple(touch for touch in feature.touches if touch.id != an_id),
        details={key: each for key, each in feature.details.items() if key != an_id},
    )
