"""What is wrong with a plan, each at its field; and what to mind at what is right.

While a plan has any problem its ring is never called closed. Cautions refuse nothing: they stand
where the act is planned, with their source.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from customers.plan.arcs import Arc
from customers.plan.document import (
    GROWTH_CLASSES,
    STATES,
    STRIPS,
    SURFACES,
    UNITS,
    WALK_KINDS,
    Feature,
    Leg,
    PlanDocument,
    Touch,
    Walk,
    in_words,
)
from customers.plan.features import (
    ALUMINIUM_OUTDOORS,
    DETAILS,
    ESCAPE,
    FLAT_FACE,
    KINDS,
    LOW_SILL_MM,
    LOW_STRIP,
    LOWEST_OVER_SOIL_MM,
    Kind,
    Rule,
    fits,
    strip_height,
    touching,
)
from customers.plan.walk import close_walk

WIDEST_MM = 100_000
SLACK_MM = 1  # A reading at the very end of a leg may be a hair beyond it.


@dataclass(frozen=True)
class Problem:
    """where is the id of a walk, leg or feature, or "plan"; field is the one to put right."""

    where: str
    field: str
    message: str


@dataclass(frozen=True)
class Caution:
    where: str
    text: str
    source: str


def problems(document: PlanDocument) -> list[Problem]:
    """Return everything wrong with the plan, walks first; empty for a plan that can be checked."""
    return [
        *_of_plan(document),
        *(problem for walk in document.walks for problem in _of_walk(walk)),
        *(problem for feature in document.features for problem in _of_feature(document, feature)),
    ]


def cautions(document: PlanDocument) -> list[Caution]:
    """Return what to mind at each leg and feature, with the source."""
    found = [(leg.id, rule) for _, leg in document.legs for rule in _leg_cautions(leg)]
    for feature in document.features:
        found += [(feature.id, rule) for rule in _feature_cautions(feature)]
    return [Caution(where, rule.text, rule.source) for where, rule in found]


def _leg_cautions(leg: Leg) -> Iterator[Rule]:
    height = strip_height(leg)
    if leg.strip and leg.surface == "block" and height and height < LOWEST_OVER_SOIL_MM:
        yield LOW_STRIP
    if leg.strip == "glass" and leg.surface == "stone":
        yield FLAT_FACE


def _feature_cautions(feature: Feature) -> Iterator[Rule]:
    kind = KINDS.get(feature.kind)
    yield from kind.cautions if kind else ()


def needs_riser(feature: Feature) -> bool:
    """Return whether a doorway's sill is too low for a strip. One not measured counts as low."""
    kind = KINDS.get(feature.kind)
    is_door = kind is not None and ESCAPE in kind.cautions
    return is_door and (feature.sill_mm is None or feature.sill_mm < LOW_SILL_MM)


def _of_plan(document: PlanDocument) -> Iterator[Problem]:
    if not any(walk.legs for walk in document.walks if walk.kind != "outbuilding"):
        yield Problem("plan", "walks", "No wall meets the ground: the plan needs a wall walk.")
    if document.unit_hint not in UNITS:
        yield Problem("plan", "unit_hint", f"Lengths are shown in one of {_listed(UNITS)}.")
    walks = [walk.id for walk in document.walks]
    legs = [leg.id for _, leg in document.legs]
    ids = Counter([*walks, *legs, *(feature.id for feature in document.features)])
    for an_id, times in ids.items():
        if times > 1:
            yield Problem(an_id, "id", f"{times} things are called {an_id}.")
        if not an_id or an_id == "plan" or "/" in an_id:
            yield Problem(an_id, "id", f"{an_id!r} cannot be the name of anything.")


def _of_walk(walk: Walk) -> Iterator[Problem]:
    if walk.kind not in WALK_KINDS:
        yield Problem(walk.id, "kind", f"A walk goes round one of {_listed(WALK_KINDS)}.")
    for problem in close_walk(walk.legs).problems:
        yield Problem(problem.leg_id or walk.id, problem.field, problem.message)
    for leg in walk.legs:
        yield from _of_leg(leg)


def _of_leg(leg: Leg) -> Iterator[Problem]:
    name = in_words(leg.id).capitalize()
    for field, allowed in (("surface", SURFACES), ("strip", STRIPS), ("strip_state", STATES)):
        if getattr(leg, field) not in allowed:
            yield Problem(leg.id, field, f"{name}: {field} is one of {_listed(allowed)}.")
    if leg.strip == "aluminium" and not leg.inside_dry:
        yield Problem(leg.id, "strip", f"{name}: {ALUMINIUM_OUTDOORS.text}")
    if leg.strip_height_mm is not None and leg.strip_height_mm < 0:
        yield Problem(leg.id, "strip_height_mm", f"{name}: the strip is below the ground.")


def _of_feature(document: PlanDocument, feature: Feature) -> Iterator[Problem]:
    kind = KINDS.get(feature.kind)
    if kind is None:
        yield _at(feature, "kind", f"nobody knows the kind {feature.kind!r}.")
    leg = document.leg(feature.leg)
    if leg is None:
        yield _at(feature, "leg", f"there is no {in_words(feature.leg) or 'leg named'}.")
    yield from _measures(feature)
    if leg and kind:
        yield from _place(feature, kind, leg)
    for touch in feature.touches:
        yield from _of_touch(document, feature, touch)
    if kind:
        yield from _of_details(document, feature, kind)
    yield from _words(feature)


def _words(feature: Feature) -> Iterator[Problem]:
    for refused in feature.refused:
        if refused not in DETAILS:
            yield _at(feature, "refused", f"there is no detail {refused!r}.")
    if feature.growth not in GROWTH_CLASSES:
        yield _at(feature, "growth", f"growth is one of {_listed(GROWTH_CLASSES)}.")


def _measures(feature: Feature) -> Iterator[Problem]:
    for field in ("width_mm", "out_mm", "clearance_mm", "sill_mm", "needs_mm"):
        measure: Decimal | None = getattr(feature, field)
        if measure is not None and measure < 0:
            yield _at(feature, field, "a measure cannot be below zero.")
        if measure is not None and measure > WIDEST_MM:
            yield _at(feature, field, "this is over 100 m. Is the unit right?")


def _place(feature: Feature, kind: Kind, leg: Leg) -> Iterator[Problem]:
    length = Decimal(str(Arc(float(leg.length_mm), float(leg.rise_mm)).length))
    # A doorway lies in its leg as a whole; whatever else may reach round a corner.
    half = Decimal(0) if kind.is_surface else feature.width_mm / 2
    if feature.at_mm - half < -SLACK_MM or feature.at_mm + half > length + SLACK_MM:
        yield _at(feature, "at_mm", f"it lies beyond the end of {in_words(leg.id)}.")


def _of_touch(document: PlanDocument, feature: Feature, touch: Touch) -> Iterator[Problem]:
    met = document.feature(touch.id)
    if touch.id == feature.id:
        yield _at(feature, "touches", "it cannot touch itself.")
    elif met is None and document.leg(touch.id) is None:
        yield _at(feature, "touches", f"there is no {touch.id!r} to touch.")
    elif touch.id == feature.leg:
        yield _at(feature, "touches", f"it stands at {in_words(touch.id)} anyway.")
    if met and met.id > feature.id and any(each.id == feature.id for each in met.touches):
        yield _at(feature, "touches", f"{_named(met)} names this contact too: keep one.")
    if sum(each.id == touch.id for each in feature.touches) > 1:
        yield _at(feature, "touches", f"{touch.id!r} is named twice.")
    if touch.clearance_mm is not None and touch.clearance_mm < 0:
        yield _at(feature, "touches", "a clearance cannot be below zero.")


def _of_details(document: PlanDocument, feature: Feature, kind: Kind) -> Iterator[Problem]:
    touched = {touch.id for touch in feature.touches}
    for key, fitted in feature.details.items():
        meeting = kind.meeting(key)
        if meeting:
            bars = [bar for bar in meeting.bars if fits(bar, feature, document.leg(feature.leg))]
        else:
            other = document.feature(key)
            bars = [*touching(kind, KINDS.get(other.kind) if other else None)]
        detail = DETAILS.get(fitted.detail)
        if not meeting and key not in touched:
            yield _at(feature, "details", f"it makes no contact {key!r}.")
        elif detail is None:
            yield _at(feature, "details", f"there is no detail {fitted.detail!r}.")
        elif detail.grows_back:
            yield _at(feature, "details", "a cut back is recorded as the clearance it left.")
        elif fitted.detail not in [bar.detail for bar in bars]:
            why = f": {meeting.reason}" if meeting and meeting.reason else "."
            yield _at(feature, "details", f"a {fitted.detail} does not bar {key!r}{why}")
        if fitted.state not in STATES:
            yield _at(feature, "details", f"a detail's state is one of {_listed(STATES)}.")


def _named(feature: Feature) -> str:
    return feature.name or in_words(feature.id)


def _at(feature: Feature, field: str, says: str) -> Problem:
    name = _named(feature)
    return Problem(feature.id, field, f"{name[:1].upper()}{name[1:]}: {says}")


def _listed(words: Iterable[str]) -> str:
    return ", ".join(word or "none" for word in words)
