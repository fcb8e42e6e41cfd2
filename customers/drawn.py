"""A home's plan as it is shown: its ring today, what will open it, the drawing, the words.

The document is read once and checked once a page; everything shown comes from that.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property

from django.utils.formats import date_format
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from customers import outlooks
from customers.models import Home, Plan
from customers.outlooks import Growing
from customers.plan import drawing
from customers.plan.contacts import Outlook, check_plan, needed, unmeasured
from customers.plan.document import PlanDocument, UnreadablePlan
from customers.plan.drawing import Drawing, PlantSize, TitleBlock
from customers.plan.proposal import Step, steps
from customers.plan.ring import RingCheck, WayIn
from shared.length import System

NEWEST_FIRST = ("today", "fitted", "surveyed")
WAYS_SHOWN = 12


@dataclass(frozen=True)
class ShownPlan:
    """A plan that can be read, with what apps above know of its ring on the day."""

    home: Home
    plan: Plan
    document: PlanDocument
    outlook: Outlook
    growing: Sequence[Growing]
    on: date

    @cached_property
    def check(self) -> RingCheck:
        return check_plan(self.document, self.outlook, on=self.on)

    @cached_property
    def off_plan(self) -> list[Growing]:
        """Return the plants that were found touching and that the plan, so the check, misses."""
        drawn = {each.id for each in self.document.features}
        return [each for each in self.growing if each.touching and each.mark not in drawn]

    @property
    def closed(self) -> bool:
        """Return whether the ring is closed by all that is known, what the plan misses included."""
        return self.check.closed and not self.off_plan

    @cached_property
    def by_growth(self) -> bool:
        """Return whether only the forecast opens the ring: as last measured it is closed."""
        return self.check.state == "open" and check_plan(self.document, on=self.on).closed

    @cached_property
    def opening(self) -> Growing | None:
        """Return the first plant that will open the ring by itself, None where the ring is open."""
        if not self.closed:
            return None
        return next((each for each in self.growing if each.opens_on and self.opens(each)), None)

    def opens(self, plant: Growing) -> bool:
        """Return whether the ring is open once this plant touches, all else as today."""
        clearances = {**self.outlook.clearances, plant.ref: 0}
        return not check_plan(self.document, Outlook(clearances=clearances), on=self.on).closed

    @property
    def watched(self) -> list[Growing]:
        return [each for each in self.growing if each.opens_on]

    @property
    def ways(self) -> Sequence[WayIn]:
        return self.check.ways_in[:WAYS_SHOWN]

    @property
    def more_ways(self) -> int:
        return len(self.check.ways_in) - len(self.ways) + self.check.more

    @property
    def all_ways(self) -> int:
        """Return how many ways in there are, or the least that there are where nobody can count."""
        return len(self.check.ways_in) + self.check.more

    @property
    def shortest(self) -> str:
        return self.check.ways_in[0].said(gettext) if self.check.ways_in else ""

    @property
    def in_the_way(self) -> Sequence[WayIn]:
        """Return the ways in that nothing can bar."""
        return self.check.stands_in_the_way[:WAYS_SHOWN]

    @property
    def closing_cost(self) -> Decimal:
        """Return what the closing costs, without the steps that are not measured."""
        known = [step.cost for step in self.closing if step not in self.not_measured]
        return sum(known, Decimal(0))

    @cached_property
    def closing(self) -> list[Step]:
        """Return the cheapest closing, none where nothing can close the ring."""
        found = self.check.cheapest_closing
        return steps(self.document, found) if found else []

    @property
    def needed(self) -> dict[str, Decimal]:
        """Return how much of each detail the cheapest closing takes, metres or pieces."""
        found = self.check.cheapest_closing
        return needed(self.document, found, self.outlook) if found else {}

    @cached_property
    def not_measured(self) -> list[Step]:
        """Return the steps of the closing whose cost nobody knows for want of a width."""
        found = self.check.cheapest_closing
        blind = unmeasured(self.document, found, self.outlook) if found else set()
        return [step for step in self.closing if (step.ref, step.detail) in blind]

    @cached_property
    def picture(self) -> Drawing | None:
        """Return the drawing, None where there is nothing to draw."""
        sizes = {
            each.mark: PlantSize(each.clearance_mm, 0 if each.opens_on else each.clearance_mm)
            for each in self.growing
        }
        title = TitleBlock(
            self.home.street,
            self.plan.get_stage_display(),
            date_format(self.on),
        )
        return drawing.draw(self.document, check=self.check, plants=sizes, title=title)

    @property
    def drawing(self) -> SafeString:
        return _svg(self.picture, self.words)

    @property
    def sketch(self) -> SafeString:
        """Return the picture alone, for who knows the home and needs only the numbers."""
        return _svg(self.picture, self.words, foot="none")

    def number_of(self, mark: str) -> str:
        """Return the number that a feature has in the drawing; "" where it has none."""
        return self.picture.numbers.get(mark, "") if self.picture else ""

    @cached_property
    def words(self) -> str:
        system = system_of(self.document)
        return drawing.in_words(self.document, self.check, system=system, translate=gettext)


def current_plan(home: Home) -> Plan | None:
    """Return the plan that stands: as it is today, else as fitted, else as surveyed. One query."""
    plans = {plan.stage: plan for plan in Plan.objects.filter(home=home) if plan.document}
    return next((plans[stage] for stage in NEWEST_FIRST if stage in plans), None)


def ring_of(home: Home, *, on: date) -> ShownPlan | None:
    """Return the ring of a home on a day, its plants grown till then, for every page that tells.

    None where no plan was walked. Raises UnreadablePlan. One query and the sources'.
    """
    plan = current_plan(home)
    return shown(home, plan, on=on) if plan else None


def ring_facts(home: Home, *, on: date) -> dict[str, object]:
    """Return what a page shows of it: `ring` where the plan can be read, else `unreadable`.

    Where nothing was walked, `off_plan` are the plants that were found touching.
    """
    try:
        ring = ring_of(home, on=on)
    except UnreadablePlan as error:
        return {"unreadable": str(error)}
    if ring is None:
        return {"off_plan": [each for each in outlooks.growing(home, on) if each.touching]}
    return {"ring": ring}


def shown(home: Home, plan: Plan, *, on: date) -> ShownPlan:
    """Return the plan as it is shown on a day. Raises UnreadablePlan. The sources' queries."""
    document = PlanDocument.from_json(plan.document)
    growing = outlooks.growing(home, on)
    prices = outlooks.prices(on)
    outlook = Outlook(
        prices=prices.amounts,
        by_piece=prices.by_piece,
        clearances={each.ref: each.clearance_mm for each in growing},
    )
    return ShownPlan(home, plan, document, outlook, growing, on)


def _svg(made: Drawing | None, words: str, *, foot: drawing.Foot = "all") -> SafeString:
    if made is None:
        return SafeString("")
    label = gettext("Plan of the walls and what stands at them")
    svg = drawing.as_svg(made, label=label, description=words, foot=foot, translate=gettext)
    return mark_safe(svg)  # noqa: S308  # escaped


def system_of(document: PlanDocument) -> System:
    return "metric" if document.unit_hint == "m" else "imperial"
