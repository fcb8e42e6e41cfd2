"""The plan as fitted: the plan as surveyed, with each detail that the crew marked in its contact.

A place is named by its contact in the ring: "leg-3" for the strip of a leg, "pipe-1/house" for
what meets a feature (customers/plan/contacts.py). A cut back changes no detail: it sets how far the
plant now stands off. Definition: Ringkeep's own.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from customers.plan.contacts import Outlook, check_plan, contacts, surface_names
from customers.plan.document import Feature, Fitted, Leg, PlanDocument, in_words
from customers.plan.facing import exposures
from customers.plan.features import DETAILS

# What the price book sells, as the plan names it.
DETAIL_OF: Mapping[str, str] = {
    "strip-glass": "strip",
    "strip-aluminium": "aluminium strip",
    "collar": "collar",
    "collar-aluminium": "backed collar",
    "column-head-band": "column-head band",
    "over-wall-return": "over-wall return",
    "sill-riser": "sill riser",
    "fence-split": "fence split",
    "cap": "cap",
    "cut-back": "cut back",
}
CODE_OF: Mapping[str, str] = {detail: code for code, detail in DETAIL_OF.items()}
STRIP_OF = {"strip-glass": "glass", "strip-aluminium": "aluminium"}
LEAVE_NO_SEAL = [code for code, detail in DETAIL_OF.items() if DETAILS[detail].grows_back]
ANY_PRICE = {code: Decimal(0) for code in DETAILS}


@dataclass(frozen=True, slots=True)
class Done:
    """A detail as marked: the place, the price book's code, its state."""

    mark: str
    code: str
    state: str


@dataclass(frozen=True, slots=True)
class Place:
    """A place of the plan that can take one of `codes`."""

    mark: str
    words: str
    codes: tuple[str, ...]


def places(document: PlanDocument) -> list[Place]:
    """Return every place that a detail can be fitted at, in the plan's order."""
    return [
        Place(
            each.ref,
            each.place or each.words,
            tuple(CODE_OF[detail] for detail, _cost in each.options),
        )
        for each in contacts(document, Outlook(prices=ANY_PRICE))
        if each.options
    ]


def unmarked(document: PlanDocument) -> list[str]:
    """Return what of a plan as fitted is still without a detail that would help to close its ring.

    Nothing where it is closed, and where a fault of the plan keeps anybody from knowing.
    """
    check = check_plan(document, Outlook(prices=ANY_PRICE))
    if check.problems or check.cheapest_closing is None:
        return []
    names = surface_names(document)
    things = [each.contact.ref.split("/")[0] for each in check.cheapest_closing.details]
    return list(dict.fromkeys(names.get(thing, in_words(thing)) for thing in things))


def surface_at(document: PlanDocument, mark: str) -> str:
    """Return what a detail at that place is bonded to, "" where the plan does not say."""
    leg = _leg_at(document, mark)
    return leg.surface if leg else ""


def exposures_in(document: PlanDocument) -> Callable[[str], str]:
    """Return what tells the exposure of a place by its mark: the side that its wall faces, or that
    it is indoors (customers/plan/facing.py); "" where the plan does not say."""
    of_legs = exposures(document)

    def exposure_at(mark: str) -> str:
        leg = _leg_at(document, mark)
        return of_legs[leg.id] if leg else ""

    return exposure_at


def _leg_at(document: PlanDocument, mark: str) -> Leg | None:
    """Return the leg at a place: a feature's own, or the other leg that the feature touches."""
    name, _, key = mark.partition("/")
    feature = document.feature(name)
    return document.leg(key) or document.leg(feature.leg if feature else name)


def as_fitted(
    document: PlanDocument, done: Iterable[Done], *, clearance_mm: Decimal
) -> PlanDocument:
    """Return the plan with everything that was done. `clearance_mm` is what a cut back leaves
    where the plant itself does not say."""
    for each in done:
        document = _with(document, each, clearance_mm)
    return document


def _with(document: PlanDocument, done: Done, clearance_mm: Decimal) -> PlanDocument:
    mark, _, key = done.mark.partition("/")
    if not key:
        return _with_strip(document, done)
    features = tuple(
        _changed(each, key, done, clearance_mm) if each.id == mark else each
        for each in document.features
    )
    return replace(document, features=features)


def _with_strip(document: PlanDocument, done: Done) -> PlanDocument:
    strip = STRIP_OF.get(done.code)
    if strip is None:
        return document
    walks = tuple(
        replace(
            walk,
            legs=tuple(
                replace(leg, strip=strip, strip_state=done.state) if leg.id == done.mark else leg
                for leg in walk.legs
            ),
        )
        for walk in document.walks
    )
    return replace(document, walks=walks)


def _changed(feature: Feature, key: str, done: Done, clearance_mm: Decimal) -> Feature:
    if done.code == "cut-back":
        return _cut_back(feature, key, feature.needs_mm or clearance_mm)
    fitted = Fitted(detail=DETAIL_OF.get(done.code, done.code), state=done.state)
    return replace(feature, details={**feature.details, key: fitted})


def _cut_back(feature: Feature, key: str, clear_mm: Decimal) -> Feature:
    if key == "house":
        return replace(feature, clearance_mm=clear_mm)
    touches = tuple(
        replace(each, clearance_mm=clear_mm) if each.id == key else each for each in feature.touches
    )
    return replace(feature, touches=touches)
