"""A closing in the words of its plan, with the reasons for it; and the plan once it is done."""

from dataclasses import dataclass, replace
from decimal import Decimal

from customers.plan.contacts import OWN_LEG
from customers.plan.document import Feature, Fitted, Leg, PlanDocument
from customers.plan.features import DETAILS, KINDS, Rule
from customers.plan.ring import Closing, Proposed

# What a plant is cut back to where the home names no clearance of its own: a foot.
CUT_TO_MM = Decimal("304.8")


@dataclass(frozen=True)
class Step:
    """One thing to do: what, between which two and where, what it costs, the rules it obeys."""

    ref: str
    detail: str
    a: str
    b: str
    place: str
    says: str
    cost: Decimal
    rules: tuple[Rule, ...]

    @property
    def where(self) -> str:
        return f"between {self.a} and {self.b}" + (f" at {self.place}" if self.place else "")


def steps(document: PlanDocument, closing: Closing) -> list[Step]:
    """Return what the closing asks for, each with what to mind."""
    return [_step(document, each) for each in closing.details]


def _step(document: PlanDocument, proposed: Proposed) -> Step:
    contact, detail = proposed.contact, DETAILS[proposed.detail]
    feature = document.feature(contact.ref.split("/")[0])
    kind = KINDS.get(feature.kind) if feature else None
    rules = [*([detail.rule] if detail.rule else []), *(kind.cautions if kind else ())]
    return Step(
        contact.ref,
        detail.code,
        contact.a,
        contact.b,
        contact.place,
        detail.says,
        proposed.cost,
        tuple(dict.fromkeys(rules)),
    )


def carried_out(document: PlanDocument, closing: Closing) -> PlanDocument:
    """Return the plan with every detail of the closing fitted and sound, every plant cut back.

    A plant is cut to the clearance it needs.
    """
    done = {each.contact.ref: each.detail for each in closing.details}
    walks = tuple(
        replace(walk, legs=tuple(_leg_done(leg, done.get(leg.id)) for leg in walk.legs))
        for walk in document.walks
    )
    features = tuple(_feature_done(each, done) for each in document.features)
    return replace(document, walks=walks, features=features)


def _leg_done(leg: Leg, detail: str | None) -> Leg:
    if detail is None:
        return leg
    strip = "aluminium" if detail == "aluminium strip" else "glass"
    return replace(leg, strip=strip, strip_state="sound")


def _feature_done(feature: Feature, done: dict[str, str]) -> Feature:
    mine = {
        ref.split("/")[1]: detail for ref, detail in done.items() if ref.split("/")[0] == feature.id
    }
    if not mine:
        return feature
    cut = {key for key, detail in mine.items() if DETAILS[detail].grows_back}
    room = feature.needs_mm or CUT_TO_MM
    return replace(
        feature,
        clearance_mm=room if OWN_LEG in cut else feature.clearance_mm,
        touches=tuple(
            replace(touch, clearance_mm=room) if touch.id in cut else touch
            for touch in feature.touches
        ),
        details={
            **feature.details,
            **{
                key: Fitted(detail=detail, state="sound")
                for key, detail in mine.items()
                if key not in cut
            },
        },
    )
