"""The first lines of an offer, read off the home's plan, and what the office must see to."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from customers.drawn import ShownPlan, current_plan, shown
from customers.models import Home
from customers.plan.document import UnreadablePlan
from jobs.asfitted import DETAIL_OF
from jobs.models import PriceBook
from jobs.takeoff import take_off


@dataclass(frozen=True, slots=True)
class ReadOff:
    """Code and quantity of each line; remarks are sentences."""

    lines: list[tuple[str, Decimal]] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)


def read_off(home: Home, *, on: date) -> ReadOff:
    """Return what closes the ring of the plan that stands, by the price book of that day."""
    plan = current_plan(home)
    book = PriceBook.objects.in_force(on)
    if plan is None or book is None:
        return ReadOff(remarks=["No plan of this home has been walked: enter the lines yourself."])
    try:
        ring = shown(home, plan, on=on)
    except UnreadablePlan as error:
        return ReadOff(remarks=[f"The plan cannot be read, so no line comes from it. {error}"])
    sold = book.prices.values_list("code", "unit")
    return ReadOff(take_off(ring.needed, sold, DETAIL_OF), _remarks(ring))


def _remarks(ring: ShownPlan) -> list[str]:
    if ring.check.problems:
        return [f"No line comes from the plan until it is put right. {ring.check.problems[0]}"]
    if ring.check.closed:
        return ["The plan says that the ring is closed: no line comes from it."]
    if not ring.closing:
        return ["Nothing in the price book closes the ring of this plan: see the home's sheet."]
    return [
        f"Not reckoned, as the plan holds no width for it: {step.says} {step.where}."
        for step in ring.not_measured
    ]
