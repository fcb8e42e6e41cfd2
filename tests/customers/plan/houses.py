"""A sound little house for the tests of the plan: four legs, every one with its strip."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

from customers.plan.document import Feature, Fitted, Leg, PlanDocument, Touch, Walk

PRICES = {
    "strip": Decimal("30.00"),
    "aluminium strip": Decimal("22.00"),
    "collar": Decimal("35.00"),
    "backed collar": Decimal("48.00"),
    "column-head band": Decimal("60.00"),
    "over-wall return": Decimal("120.00"),
    "sill riser": Decimal("150.00"),
    "fence split": Decimal("55.00"),
    "cut back": Decimal("0.00"),
    "cap": Decimal("15.00"),
}


def leg(number: int, length_mm: int | str = 10_000, **changes: Any) -> Leg:
    kept = {"strip": "glass", "strip_state": "sound", **changes}
    return Leg(id=f"leg-{number}", length_mm=Decimal(length_mm), **kept)


def feature(an_id: str, kind: str, **changes: Any) -> Feature:
    kept = {
        "name": an_id.replace("-", " "),
        "leg": "leg-1",
        "at_mm": Decimal(2000),
        "width_mm": Decimal(300),
        "out_mm": Decimal(1000),
        **changes,
    }
    return Feature(id=an_id, kind=kind, **kept)


def house(*features: Feature, legs: tuple[Leg, ...] = ()) -> PlanDocument:
    """A house of 10 m by 8 m with the features. Legs given replace those of the same id."""
    other = {each.id: each for each in legs}
    walked = (leg(1), leg(2, 8_000), leg(3), leg(4, 8_000))
    walk = Walk(id="walk-1", name="House", legs=tuple(other.get(each.id, each) for each in walked))
    return PlanDocument(walks=(walk,), features=features)


def touch(an_id: str, clearance_mm: int | None = 0) -> Touch:
    return Touch(id=an_id, clearance_mm=None if clearance_mm is None else Decimal(clearance_mm))


def fit(document: PlanDocument, details: dict[str, str], state: str = "sound") -> PlanDocument:
    """Return the plan with details fitted, by contact ref."""
    fitted = {ref: Fitted(detail=detail, state=state) for ref, detail in details.items()}
    return replace(
        document,
        features=tuple(
            replace(
                each,
                details={
                    **each.details,
                    **{
                        ref.split("/")[1]: detail
                        for ref, detail in fitted.items()
                        if ref.split("/")[0] == each.id
                    },
                },
            )
            for each in document.features
        ),
    )
