"""The drawing said in words, for who cannot see it: walk by walk, leg by leg, what stands there."""

from customers.plan.document import Feature, Leg, PlanDocument
from customers.plan.document import in_words as spoken
from customers.plan.ring import RingCheck
from customers.plan.walk import close_walk
from shared.length import Length, System, length_text
from shared.wording import Translate, gettext_noop

ROUND = gettext_noop("{walk}: {count} legs, {perimeter} round.")
LEG = gettext_noop("{leg}: {length} of {surface}, {strip}.")
CLOSED = gettext_noop("The ring is closed.")
OPEN = gettext_noop("The ring is open: {ways}.")
UNSURE = gettext_noop("Whether the ring is closed cannot be said: the plan has problems.")
NO_STRIP = gettext_noop("no strip")
MOST_WAYS = 5


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
        said.append(translate(ROUND).format(walk=name, count=len(walk.legs), perimeter=perimeter))
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
    strip = f"{leg.strip} strip, {leg.strip_state}" if leg.strip else translate(NO_STRIP)
    sentence = translate(LEG).format(
        leg=spoken(leg.id).capitalize(),
        length=length_text(Length.of(leg.length_mm, "mm"), system),
        surface=translate(leg.surface),
        strip=strip,
    )
    there = [_feature(each) for each in plan.features if each.leg == leg.id]
    return f"{sentence} {' '.join(there)}".strip()


def _feature(feature: Feature) -> str:
    name = feature.name.strip() or feature.kind
    fitted = ", ".join(f"{each.detail} {each.state}" for each in feature.details.values())
    return f"{name}{f' ({fitted})' if fitted else ''}."
