"""The demo's promises that do not simply stay in force: sold along, suspended, ended."""

from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal

from customers.actions.consenting import Said
from customers.models import Household, Plant
from warranties.actions import standing, transferring, watching
from warranties.demo.firm import Firm
from warranties.demo.years import DEAF
from warranties.models import Promise, Reading, Transfer

SOLD, SELLING, ENDED = 7, 11, 3  # which of the promises


def sell_and_end(firm: Firm, promises: Sequence[Promise]) -> None:
    done = _sell(firm, promises[SOLD], "Ballantine", days_ago=70)
    for household in (done.old, done.new):
        transferring.agree(
            transfer=done, household=household, at=done.started_at + timedelta(days=3)
        )
    open_one = _sell(firm, promises[SELLING], "Osgood-Rey", days_ago=4)
    yes_at = firm.now - timedelta(days=2)
    transferring.agree(transfer=open_one, household=open_one.old, at=yes_at)
    _suspend(firm, promises[DEAF])
    day = firm.today() - timedelta(days=40)
    standing.end(
        promise=promises[ENDED],
        on=day,
        reason="The house was taken down for a new one.",
        by=firm.people["office"],
        at=firm.at(day, 14),
    )


def _sell(firm: Firm, promise: Promise, family: str, *, days_ago: int) -> Transfer:
    day = firm.today() - timedelta(days=days_ago)
    buyer = Household(name=family, mail=f"{family.lower()}@example.com", phone="+16025550197")
    return transferring.start_with_new_household(
        promise=promise,
        move=transferring.Move(buyer, on=day),
        said=Said({"mail": True, "letter": True, "text": False}, "told us by phone"),
        at=firm.at(day, 11),
    )


def _suspend(firm: Firm, promise: Promise) -> None:
    """Suspend it for the first plant that was told of often enough and never cut."""
    needed = promise.terms.suspend_after_notices
    for plant in Plant.objects.filter(home=promise.home):
        told = standing.tellings_unheeded(promise, plant)
        if needed and len(told) >= needed:
            at = firm.now - timedelta(days=6)
            day = at.astimezone(promise.home.tz).date()
            touches = Reading(plant=plant, on=day, clearance_mm=Decimal(0), confirmed=True)
            watching.keep_reading(reading=touches, today=day, by=firm.people["tech"])
            standing.suspend(promise=promise, plant=plant, by=firm.people["office"], at=at)
            return
