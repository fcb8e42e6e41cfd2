"""From the plan to the contacts of its ring, and the ring check of a whole plan.

Walls of house, garage and courtyard are the building; an outbuilding is a surface of its own,
which matters only where something joins it to the house. A contact's ref is "leg-3" for a leg,
and "column-1/foot" for a feature's contact: the feature's id, and the contact's key or the id of
what it touches.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from customers.plan.document import Feature, Fitted, Leg, PlanDocument, Touch, Walk, in_words
from customers.plan.features import (
    DETAILS,
    KINDS,
    MM_PER_METRE,
    Bar,
    Kind,
    fits,
    leg_bars,
    metres,
    strip_detail,
    touching,
)
from customers.plan.problems import problems
from customers.plan.ring import (
    BUILDING,
    GROUND,
    Clearance,
    Closing,
    Contact,
    Forbidden,
    RingCheck,
    check_ring,
    opens_on,
)
from shared.money import rounded

OWN_LEG = "house"


@dataclass(frozen=True)
class Outlook:
    """What the plan itself does not hold, by contact ref.

    prices: of a detail, each or by the metre as DETAILS says; a detail without one is not offered.
    by_piece: details sold by the piece, whatever DETAILS says.
    clearances: how far apart, instead of what was surveyed; a number or a function of the day.
    opens: the day from which a contact is open by forecast, age or announcement.
    """

    prices: Mapping[str, Decimal] = field(default_factory=dict)
    clearances: Mapping[str, Clearance] = field(default_factory=dict)
    opens: Mapping[str, date] = field(default_factory=dict)
    by_piece: frozenset[str] = frozenset()


def check_plan(
    document: PlanDocument,
    outlook: Outlook | None = None,
    *,
    on: date | None = None,
    forbidden: Forbidden = (),
) -> RingCheck:
    """Return the ring check of a plan. With any problem in the plan it is never closed."""
    wrong = [problem.message for problem in problems(document)]
    return check_ring(contacts(document, outlook), on=on, forbidden=forbidden, problems=wrong)


def first_open_day(
    document: PlanDocument, outlook: Outlook, start: date, until: date
) -> date | None:
    """Return the first day on which the ring is not closed; None where it holds until then.

    A plan with problems is never closed, so it is the start.
    """
    return start if problems(document) else opens_on(contacts(document, outlook), start, until)


def contacts(document: PlanDocument, outlook: Outlook | None = None) -> list[Contact]:
    """Return every contact that the plan makes, in its order: legs, then features.

    What is named wrongly (an unknown kind, a leg that is not there) makes no contact here;
    customers.plan.problems says so.
    """
    return list(_Contacts(document, outlook or Outlook()).all())


def needed(
    document: PlanDocument, closing: Closing, outlook: Outlook | None = None
) -> dict[str, Decimal]:
    """Return how much of each detail a closing of this plan takes: metres or pieces, as priced.

    Nothing of a detail that runs along what nobody measured: zero says so.
    """
    plan = _Contacts(document, outlook or Outlook())
    list(plan.all())
    total: defaultdict[str, Decimal] = defaultdict(Decimal)
    for each in closing.details:
        for detail, amount in plan.needs[each.contact.ref, each.detail].items():
            total[detail] += amount
    return dict(total)


def unmeasured(
    document: PlanDocument, closing: Closing, outlook: Outlook | None = None
) -> set[tuple[str, str]]:
    """Return ref and detail of what of a closing runs along a width that nobody measured."""
    plan = _Contacts(document, outlook or Outlook())
    list(plan.all())
    taken = {(each.contact.ref, each.detail) for each in closing.details}
    return {key for key in taken if not all(plan.needs[key].values())}


def surface_names(document: PlanDocument) -> dict[str, str]:
    """Return the name of each surface by id: the plan's own words, made unique by the id."""
    named = [(each.id, each.name.strip()) for each in document.features]
    named += [(walk.id, walk.name.strip()) for walk in document.walks if walk.kind == "outbuilding"]
    taken = Counter([GROUND, BUILDING, *(name for _, name in named)])
    return {
        an_id: in_words(an_id) if not name else name if taken[name] == 1 else f"{name} ({an_id})"
        for an_id, name in named
    }


class _Contacts:
    def __init__(self, document: PlanDocument, outlook: Outlook) -> None:
        self.document = document
        self.outlook = outlook
        self.names = surface_names(document)
        # By contact ref and the detail that bars it: how much of each detail that takes.
        self.needs: dict[tuple[str, str], dict[str, Decimal]] = {}
        self.walls = {
            leg.id: (self.names[walk.id] if walk.kind == "outbuilding" else BUILDING, leg)
            for walk, leg in document.legs
        }
        self.features = {feature.id: feature for feature in document.features}

    def all(self) -> Iterator[Contact]:
        for walk, leg in self.document.legs:
            yield self.of_leg(walk, leg)
        for feature in self.document.features:
            kind = KINDS.get(feature.kind)
            if kind and feature.leg in self.walls:
                yield from self.of_feature(feature, kind)
                for touch in feature.touches:
                    yield from self.of_touch(feature, kind, touch)

    def of_leg(self, walk: Walk, leg: Leg) -> Contact:
        wall, _ = self.walls[leg.id]
        detail = strip_detail(leg)
        return Contact(
            GROUND,
            wall,
            detail,
            _state(leg.strip_state) if detail else "sound",
            options=self.strips(walk, leg),
            place=in_words(leg.id),
            ref=leg.id,
            opens_on=self.outlook.opens.get(leg.id),
        )

    def strips(self, walk: Walk, leg: Leg) -> list[tuple[str, Decimal]]:
        """Return the strips for the leg and their costs, without the doorways in it."""
        if walk.kind == "outbuilding":
            return []
        doors = (each for each in self.document.features if each.leg == leg.id)
        open_mm = sum(
            each.width_mm
            for each in doors
            if each.kind in KINDS and not KINDS[each.kind].is_surface
        )
        run = max(Decimal(0), leg.length_mm - open_mm) / MM_PER_METRE
        needs = [(code, {code: run}) for code in leg_bars(leg)]
        return self.priced(leg.id, needs)

    def of_feature(self, feature: Feature, kind: Kind) -> Iterator[Contact]:
        wall, leg = self.walls[feature.leg]
        sides = {"ground": GROUND, "building": wall, "self": self.names[feature.id]}
        place = "" if kind.is_surface else self.names[feature.id]
        for meeting in kind.meets:
            yield self.made(
                feature,
                meeting.key,
                (sides[meeting.a], sides[meeting.b], place),
                [bar for bar in meeting.bars if fits(bar, feature, leg)],
                clearance=feature.clearance_mm if meeting.key == OWN_LEG else Decimal(0),
                reason=meeting.reason,
            )

    def of_touch(self, feature: Feature, kind: Kind, touch: Touch) -> Iterator[Contact]:
        other = self.features.get(touch.id)
        other_kind = KINDS.get(other.kind) if other else None
        place = ""
        if touch.id in self.walls:
            met, place = self.walls[touch.id][0], in_words(touch.id)
        elif other and other_kind and not other_kind.is_surface and other.leg in self.walls:
            met, place = self.walls[other.leg][0], self.names[other.id]
        elif other and other_kind:
            met = self.names[other.id]
        else:
            return
        own = self.names[feature.id] if kind.is_surface else self.walls[feature.leg][0]
        yield self.made(
            feature,
            touch.id,
            (own, met, place),
            touching(kind, other_kind),
            clearance=touch.clearance_mm,
        )

    def made(
        self,
        feature: Feature,
        key: str,
        sides: tuple[str, str, str],
        bars: Iterable[Bar],
        *,
        clearance: Decimal | None,
        reason: str = "",
    ) -> Contact:
        """Make the contact between two surfaces at a place."""
        a, b, place = sides
        ref = f"{feature.id}/{key}"
        fitted = _standing(feature.details.get(key))
        seen: Clearance | None = self.outlook.clearances.get(ref, clearance)
        return Contact(
            a,
            b,
            fitted.detail if fitted else None,
            _state(fitted.state) if fitted else "unknown" if seen is None else "sound",
            clearance_mm=0 if seen is None else seen,
            options=self.options(ref, feature, bars),
            place=place,
            ref=ref,
            opens_on=self.outlook.opens.get(ref),
            reason=reason,
        )

    def options(self, ref: str, feature: Feature, bars: Iterable[Bar]) -> list[tuple[str, Decimal]]:
        """Return the details that the household and the price book allow, with their costs."""
        allowed = (bar for bar in bars if bar.detail not in feature.refused)
        return self.priced(ref, [(bar.detail, self.need(feature, bar)) for bar in allowed])

    def priced(
        self, ref: str, needs: Iterable[tuple[str, dict[str, Decimal]]]
    ) -> list[tuple[str, Decimal]]:
        """Return each detail with the cost of all that it takes; none that has no price."""
        prices, found = self.outlook.prices, []
        for detail, need in needs:
            if need.keys() <= prices.keys():
                self.needs[ref, detail] = need
                cost = sum((prices[code] * amount for code, amount in need.items()), Decimal(0))
                found.append((detail, _amount(cost)))
        return found

    def need(self, feature: Feature, bar: Bar) -> dict[str, Decimal]:
        """Return how much of the bar's detail, and of what goes with it, the feature takes."""
        total: defaultdict[str, Decimal] = defaultdict(Decimal)
        by_metre = DETAILS[bar.detail].per == "metre" and bar.detail not in self.outlook.by_piece
        run = metres(bar.along, feature) if by_metre else Decimal(1)
        total[bar.detail] = run * bar.times
        for each in bar.also:
            for detail, amount in self.need(feature, each).items():
                total[detail] += amount
        return dict(total)


def _amount(cost: Decimal) -> Decimal:
    """Return the cost to the cent. A price by the foot is endless by the metre: mend that first."""
    return rounded(round(cost, 8))


def _standing(fitted: Fitted | None) -> Fitted | None:
    """Return what is fitted, unless it grows back: a cut back counts by its clearance alone."""
    detail = DETAILS.get(fitted.detail) if fitted else None
    return None if detail and detail.grows_back else fitted


def _state(state: str) -> str:
    """Return the state; one that nobody knows counts as unknown."""
    return state if state in ("sound", "damaged") else "unknown"
