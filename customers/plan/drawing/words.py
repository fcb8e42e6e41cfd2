"""The drawing said in words, for who cannot see it: walk by walk, leg by leg, what stands there."""

import re

from customers.plan.document import Feature, Leg, PlanDocument
from customers.plan.document import in_words as spoken
from customers.plan.ring import BUILDING, GROUND, RingCheck
from customers.plan.walk import close_walk
from shared.length import Length, System, length_text
from shared.wording import Translate, gettext_noop

ROUND = gettext_noop("{walk}: {count} legs, {perimeter} round.")
ONE_ROUND = gettext_noop("{walk}: 1 leg, {perimeter} round.")
LEG = gettext_noop("{leg}: {length} of {surface}, {strip}.")
CLOSED = gettext_noop("The ring is closed.")
OPEN = gettext_noop("The ring is open: {ways}.")
UNSURE = gettext_noop("Whether the ring is closed cannot be said: the plan has problems.")
NO_STRIP = gettext_noop("no strip")
STRIP = gettext_noop("{strip} strip, {state}")
ONE_LEG = gettext_noop("leg {number}")
AT_LEG = gettext_noop("at leg {number}")
MOST_WAYS = 5
# The plan's own words, so that they are collected for translation.
WORDS = (
    gettext_noop("column"),
    gettext_noop("pipe"),
    gettext_noop("wire"),
    gettext_noop("conduit"),
    gettext_noop("meter riser"),
    gettext_noop("unused line"),
    gettext_noop("door"),
    gettext_noop("sliding door"),
    gettext_noop("garage door"),
    gettext_noop("gate"),
    gettext_noop("fence"),
    gettext_noop("garden wall"),
    gettext_noop("planter"),
    gettext_noop("step"),
    gettext_noop("chimney"),
    gettext_noop("outdoor kitchen"),
    gettext_noop("plant on the ground"),
    gettext_noop("plant on a wall"),
    gettext_noop("overhanging branch"),
    gettext_noop("strip"),
    gettext_noop("aluminium strip"),
    gettext_noop("collar"),
    gettext_noop("backed collar"),
    gettext_noop("column-head band"),
    gettext_noop("over-wall return"),
    gettext_noop("sill riser"),
    gettext_noop("fence split"),
    gettext_noop("cut back"),
    gettext_noop("cap"),
    gettext_noop("stucco"),
    gettext_noop("block"),
    gettext_noop("brick"),
    gettext_noop("stone"),
    gettext_noop("siding"),
    gettext_noop("wood"),
    gettext_noop("concrete"),
    gettext_noop("glass"),
    gettext_noop("aluminium"),
    gettext_noop("unknown"),
    gettext_noop("house"),
    gettext_noop("garage"),
    gettext_noop("courtyard"),
    gettext_noop("outbuilding"),
)
OURS = {GROUND, BUILDING, *WORDS}
PARTS = re.compile(r"(, | > |; )")
NUMBERED = re.compile(r"(at )?leg ([0-9]+)")


def in_language(text: str, translate: Translate) -> str:
    """Return what we say of a place in the reader's language; what people named stays theirs.

    Its parts are "leg 3", "building", "collar", parted as the plan parts them. Only the plan's own
    words are translated: a plant may be called "May", and a catalogue knows the month.
    """
    return "".join(_part(each, translate) for each in PARTS.split(text))


def _part(text: str, translate: Translate) -> str:
    if found := NUMBERED.fullmatch(text):
        return translate(AT_LEG if found[1] else ONE_LEG).format(number=found[2])
    return translate(text) if text in OURS else text


def in_words(
    plan: PlanDocument,
    check: RingCheck | None = None,
    *,
    system: System = "imperial",
    translate: Translate = str,
) -> str:
    """Return the plan in sentences, the ring's state first."""
    said = [_state(check, translate)] if check else []
    for walk in plan.walks:
        perimeter = length_text(Length.of(round(close_walk(walk.legs).perimeter_mm), "mm"), system)
        name = walk.name.strip() or translate(walk.kind)
        said.append(
            translate(ONE_ROUND if len(walk.legs) == 1 else ROUND).format(
                walk=name, count=len(walk.legs), perimeter=perimeter
            )
        )
        said += [_leg(plan, leg, system, translate) for leg in walk.legs]
    return " ".join(said)


def _state(check: RingCheck, translate: Translate) -> str:
    if check.problems:
        return translate(UNSURE)
    if check.closed:
        return translate(CLOSED)
    ways = "; ".join(way.said(translate) for way in check.ways_in[:MOST_WAYS])
    return translate(OPEN).format(ways=ways)


def _leg(plan: PlanDocument, leg: Leg, system: System, translate: Translate) -> str:
    strip = translate(NO_STRIP)
    if leg.strip:
        strip = translate(STRIP).format(
            strip=translate(leg.strip), state=translate(leg.strip_state)
        )
    sentence = translate(LEG).format(
        leg=in_language(spoken(leg.id), translate).capitalize(),
        length=length_text(Length.of(leg.length_mm, "mm"), system),
        surface=translate(leg.surface),
        strip=strip,
    )
    there = [_feature(each, translate) for each in plan.features if each.leg == leg.id]
    return f"{sentence} {' '.join(there)}".strip()


def _feature(feature: Feature, translate: Translate) -> str:
    name = feature.name.strip() or translate(feature.kind)
    fitted = ", ".join(
        f"{translate(each.detail)} {translate(each.state)}" for each in feature.details.values()
    )
    return f"{name}{f' ({fitted})' if fitted else ''}."
