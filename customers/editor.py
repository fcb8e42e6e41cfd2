"""What the plan editor shows beside its form: walks with their misclosure, legs, features."""

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.utils.translation import gettext as _

from customers.drawn import system_of
from customers.plan.compare import LABELS
from customers.plan.document import Feature, Leg, PlanDocument, Walk, in_words
from customers.plan.problems import Problem, problems
from customers.plan.suspects import turn_words
from customers.plan.walk import ClosedWalk, close_walk
from shared.length import Length, System, length_text

# A gap wider than this part of the way round is a walk under way, not a slip to be looked for.
UNDER_WAY = 0.25
LEGS_TO_JUDGE = 3
LEAST_GAP_MM = 0.5


@dataclass(frozen=True)
class Row:
    """A leg or a feature as a line of the list, with what is wrong with it by field."""

    id: str
    name: str
    says: str
    wrong: Sequence[tuple[str, str]]
    there: Sequence["Row"] = ()


@dataclass(frozen=True)
class WalkShown:
    walk: Walk
    rows: Sequence[Row]
    wrong: Sequence[tuple[str, str]]
    system: System

    @cached_property
    def closed(self) -> ClosedWalk:
        return close_walk(self.walk.legs)

    @property
    def name(self) -> str:
        return self.walk.name or _(self.walk.kind)

    @property
    def round(self) -> str:
        return self._text(self.closed.perimeter_mm)

    @property
    def gap(self) -> str:
        return self._text(self.closed.misclosure_mm)

    @property
    def precision(self) -> str:
        """Return n of "one part in n", empty where the gap is none that a tape could show."""
        shown = self.closed.misclosure_mm >= LEAST_GAP_MM
        return f"{self.closed.precision:,.0f}" if shown else ""

    @property
    def closes(self) -> bool:
        return len(self.walk.legs) >= LEGS_TO_JUDGE and self.closed.closes

    @property
    def diagnosis(self) -> str:
        """Return which reading to look at again, empty while the walk is plainly under way."""
        under_way = self.closed.misclosure_mm > UNDER_WAY * self.closed.perimeter_mm
        return "" if under_way else self.closed.diagnosis(self.system, _)

    @property
    def last_leg(self) -> str:
        """Return how long one more leg, straight ahead, would be that closes the walk; or empty."""
        if self.closes or not self.walk.legs:
            return ""
        heading = math.radians(math.fsum(self.closed.turns_deg))
        x, y = self.closed.gap_mm
        ahead = -(x * math.cos(heading) + y * math.sin(heading))
        aside = abs(y * math.cos(heading) - x * math.sin(heading))
        return self._text(ahead) if ahead > 0 and aside <= self.closed.allowed_gap_mm else ""

    def _text(self, mm: float) -> str:
        return length_text(Length.of(round(mm), "mm"), self.system)


@dataclass(frozen=True)
class Shown:
    """The whole plan as the editor lists it; `wrong` is what no leg or feature is to blame for."""

    walks: Sequence[WalkShown]
    wrong: Sequence[str]
    stray: Sequence[Row]


def shown_for_edit(document: PlanDocument) -> Shown:
    """Return the plan's walks, legs and features, each problem where it belongs."""
    system = system_of(document)
    by_place: dict[str, list[Problem]] = defaultdict(list)
    for problem in problems(document):
        by_place[problem.where].append(problem)
    wrong = {
        where: [(_(LABELS.get(each.field, each.field)), each.said(system, _)) for each in found]
        for where, found in by_place.items()
    }
    there: dict[str, list[Row]] = defaultdict(list)
    for feature in sorted(document.features, key=lambda each: each.at_mm):
        there[feature.leg].append(_feature_row(feature, system, wrong))
    walks = [
        WalkShown(
            walk,
            [_leg_row(leg, system, wrong, there[leg.id]) for leg in walk.legs],
            wrong.get(walk.id, []),
            system,
        )
        for walk in document.walks
    ]
    legs = {leg.id for _walk, leg in document.legs}
    stray = [row for leg, rows in there.items() if leg not in legs for row in rows]
    return Shown(walks, [said for _field, said in wrong.get("plan", [])], stray)


def _leg_row(
    leg: Leg,
    system: System,
    wrong: Mapping[str, Sequence[tuple[str, str]]],
    there: Sequence[Row],
) -> Row:
    parts = [
        length_text(Length(max(leg.length_mm, 0 * leg.length_mm)), system),
        _("then {turn}").format(turn=turn_words(float(leg.turn_deg), _)),
        _(leg.surface),
    ]
    if leg.strip:
        strip = _("{strip} strip, {state}")
        parts.append(strip.format(strip=_(leg.strip), state=_(leg.strip_state)))
    return Row(leg.id, in_words(leg.id), ", ".join(parts), wrong.get(leg.id, []), there)


def _feature_row(
    feature: Feature, system: System, wrong: Mapping[str, Sequence[tuple[str, str]]]
) -> Row:
    kind = _(feature.kind)
    name = feature.name.strip() or in_words(feature.id)
    along = length_text(Length(max(feature.at_mm, 0 * feature.at_mm)), system)
    parts = [kind, _("{length} along").format(length=along)]
    parts += [f"{_(each.detail)} {_(each.state)}" for each in feature.details.values()]
    return Row(feature.id, name, ", ".join(parts), wrong.get(feature.id, []))
