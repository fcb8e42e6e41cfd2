"""What is wrong with a plan, each at its field; and what to mind at what is right.

While a plan has any problem its ring is never called closed. Cautions refuse nothing: they stand
where the act is planned, with their source.
"""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from dataclasses import field as stored
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
from customers.plan.legs import Problem as WalkProblem
from customers.plan.legs import leg_name
from customers.plan.walk import close_walk
from shared.length import System
from shared.wording import Translate, gettext_noop

WIDEST_MM = 100_000
SLACK_MM = 1  # A reading at the very end of a leg may be a hair beyond it.


NO_GROUND = gettext_noop("No wall meets the ground: the plan needs a wall walk.")
NO_UNIT = gettext_noop("Lengths are shown in one of {allowed}.")
TWICE = gettext_noop("{times} things are called {id}.")
NO_NAME = gettext_noop("{id} cannot be the name of anything.")
NO_WALK_KIND = gettext_noop("A walk goes round one of {allowed}.")
NO_WORD = gettext_noop("{leg}: this is one of {allowed}.")
REFUSED = gettext_noop("{leg}: {rule}")
BELOW_GROUND = gettext_noop("{leg}: the strip is below the ground.")
NO_KIND = gettext_noop("{name}: nobody knows the kind {kind}.")
NO_LEG = gettext_noop("{name}: there is no leg {leg}.")
NO_DETAIL = gettext_noop("{name}: there is no detail {detail}.")
NO_GROWTH = gettext_noop("{name}: growth is one of {allowed}.")
BELOW_ZERO = gettext_noop("{name}: a measure cannot be below zero.")
TOO_WIDE = gettext_noop("{name}: this is over 100 m. Is the unit right?")
BEYOND = gettext_noop("{name}: it lies beyond the end of {leg}.")
ITSELF = gettext_noop("{name}: it cannot touch itself.")
NOTHING_THERE = gettext_noop("{name}: there is no {met} to touch.")
OWN_LEG = gettext_noop("{name}: it stands at {leg} anyway.")
BOTH_SIDES = gettext_noop("{name}: {met} names this contact too: keep one.")
NAMED_TWICE = gettext_noop("{name}: {met} is named twice.")
NO_CONTACT = gettext_noop("{name}: it makes no contact {key}.")
GROWS_BACK = gettext_noop("{name}: a cut back is recorded as the clearance it left.")
BARS_NOT = gettext_noop("{name}: {detail} does not bar {key}. {why}")
NO_STATE = gettext_noop("{name}: the state of a detail is one of {allowed}.")


@dataclass(frozen=True)
class Problem:
    """where is the id of a walk, leg or feature, or "plan"; field is the one to put right."""

    where: str
    field: str
    text: str
    values: Mapping[str, object] = stored(default_factory=dict, hash=False)
    walked: WalkProblem | None = None

    @property
    def message(self) -> str:
        return self.said()

    def said(self, system: System = "imperial", translate: Translate = str) -> str:
        """Return the sentence in the reader's units and language."""
        if self.walked:
            return self.walked.said(system, translate)
        shown = {name: _shown(value, translate) for name, value in self.values.items()}
        sentence = translate(self.text).format(**shown)
        return (sentence[:1].upper() + sentence[1:]).rstrip()


def _shown(value: object, translate: Translate) -> str:
    if isinstance(value, tuple):
        return ", ".join(translate(word or gettext_noop("none")) for word in value)
    if isinstance(value, Rule):
        return translate(value.text)
    if isinstance(value, Leg):
        return leg_name(0, value.id, translate)
    return str(value)


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
        yield Problem("plan", "walks", NO_GROUND)
    if document.unit_hint not in UNITS:
        yield Problem("plan", "unit_hint", NO_UNIT, {"allowed": UNITS})
    walks = [walk.id for walk in document.walks]
    legs = [leg.id for _, leg in document.legs]
    ids = Counter([*walks, *legs, *(feature.id for feature in document.features)])
    for an_id, times in ids.items():
        if times > 1:
            yield Problem(an_id, "id", TWICE, {"times": times, "id": an_id})
        if not an_id or an_id == "plan" or "/" in an_id:
            yield Problem(an_id, "id", NO_NAME, {"id": repr(an_id)})


def _of_walk(walk: Walk) -> Iterator[Problem]:
    if walk.kind not in WALK_KINDS:
        yield Problem(walk.id, "kind", NO_WALK_KIND, {"allowed": WALK_KINDS})
    for problem in close_walk(walk.legs).problems:
        where = problem.leg_id or walk.id
        yield Problem(where, problem.field, problem.text, problem.values, problem)
    for leg in walk.legs:
        yield from _of_leg(leg)


def _of_leg(leg: Leg) -> Iterator[Problem]:
    for field, allowed in (("surface", SURFACES), ("strip", STRIPS), ("strip_state", STATES)):
        if getattr(leg, field) not in allowed:
            yield Problem(leg.id, field, NO_WORD, {"leg": leg, "allowed": allowed})
    if leg.strip == "aluminium" and not leg.inside_dry:
        yield Problem(leg.id, "strip", REFUSED, {"leg": leg, "rule": ALUMINIUM_OUTDOORS})
    if leg.strip_height_mm is not None and leg.strip_height_mm < 0:
        yield Problem(leg.id, "strip_height_mm", BELOW_GROUND, {"leg": leg})


def _of_feature(document: PlanDocument, feature: Feature) -> Iterator[Problem]:
    kind = KINDS.get(feature.kind)
    if kind is None:
        yield _at(feature, "kind", NO_KIND, kind=repr(feature.kind))
    leg = document.leg(feature.leg)
    if leg is None:
        yield _at(feature, "leg", NO_LEG, leg=repr(feature.leg))
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
            yield _at(feature, "refused", NO_DETAIL, detail=repr(refused))
    if feature.growth not in GROWTH_CLASSES:
        yield _at(feature, "growth", NO_GROWTH, allowed=GROWTH_CLASSES)


def _measures(feature: Feature) -> Iterator[Problem]:
    for field in ("width_mm", "out_mm", "clearance_mm", "sill_mm", "needs_mm"):
        measure: Decimal | None = getattr(feature, field)
        if measure is not None and measure < 0:
            yield _at(feature, field, BELOW_ZERO)
        if measure is not None and measure > WIDEST_MM:
            yield _at(feature, field, TOO_WIDE)


def _place(feature: Feature, kind: Kind, leg: Leg) -> Iterator[Problem]:
    length = Decimal(str(Arc(float(leg.length_mm), float(leg.rise_mm)).length))
    # A doorway lies in its leg as a whole; whatever else may reach round a corner.
    half = Decimal(0) if kind.is_surface else feature.width_mm / 2
    if feature.at_mm - half < -SLACK_MM or feature.at_mm + half > length + SLACK_MM:
        yield _at(feature, "at_mm", BEYOND, leg=leg)


def _of_touch(document: PlanDocument, feature: Feature, touch: Touch) -> Iterator[Problem]:
    met = document.feature(touch.id)
    if touch.id == feature.id:
        yield _at(feature, "touches", ITSELF)
    elif met is None and document.leg(touch.id) is None:
        yield _at(feature, "touches", NOTHING_THERE, met=repr(touch.id))
    elif touch.id == feature.leg:
        yield _at(feature, "touches", OWN_LEG, leg=document.leg(touch.id))
    if met and met.id > feature.id and any(each.id == feature.id for each in met.touches):
        yield _at(feature, "touches", BOTH_SIDES, met=_named(met))
    if sum(each.id == touch.id for each in feature.touches) > 1:
        yield _at(feature, "touches", NAMED_TWICE, met=repr(touch.id))
    if touch.clearance_mm is not None and touch.clearance_mm < 0:
        yield _at(feature, "touches", BELOW_ZERO)


def _of_details(document: PlanDocument, feature: Feature, kind: Kind) -> Iterator[Problem]:
    touched = {touch.id for touch in feature.touches}
    for key, fitted in feature.details.items():
        meeting = kind.meeting(key)
        detail = DETAILS.get(fitted.detail)
        if not meeting and key not in touched:
            yield _at(feature, "details", NO_CONTACT, key=repr(key))
        elif detail is None:
            yield _at(feature, "details", NO_DETAIL, detail=repr(fitted.detail))
        elif detail.grows_back:
            yield _at(feature, "details", GROWS_BACK)
        elif fitted.detail not in _barring(document, feature, kind, key):
            why = Rule(meeting.reason) if meeting and meeting.reason else ""
            yield _at(feature, "details", BARS_NOT, detail=(fitted.detail,), key=repr(key), why=why)
        if fitted.state not in STATES:
            yield _at(feature, "details", NO_STATE, allowed=STATES)


def _barring(document: PlanDocument, feature: Feature, kind: Kind, key: str) -> list[str]:
    """Return the details that could bar one of the feature's contacts where it is."""
    if meeting := kind.meeting(key):
        leg = document.leg(feature.leg)
        return [bar.detail for bar in meeting.bars if fits(bar, feature, leg)]
    other = document.feature(key)
    return [bar.detail for bar in touching(kind, KINDS.get(other.kind) if other else None)]


def _named(feature: Feature) -> str:
    return feature.name or in_words(feature.id)


def _at(feature: Feature, field: str, text: str, **values: object) -> Problem:
    return Problem(feature.id, field, text, {"name": _named(feature), **values})
