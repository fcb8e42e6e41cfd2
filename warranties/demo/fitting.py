"""The demo's fittings: each place of the plan closed, photographed, costed, proved, handed over."""

from collections import Counter
from datetime import timedelta
from decimal import Decimal

from customers.models import Plan
from customers.plan.document import PlanDocument
from jobs.actions import costing, proving, visiting
from jobs.actions.fitting import Fitting, finish_fitting, mark_fitted
from jobs.actions.offering import Line
from jobs.actions.paying import due, record_payment
from jobs.asfitted import Place, places
from jobs.models import Booking, Job, OfferLine, Payment
from warranties.demo.firm import Firm
from warranties.demo.pictures import snapshot

MM_PER_FOOT = Decimal("304.8")
STRIP_FT_AN_HOUR = Decimal(11)


def needed(document: PlanDocument) -> list[tuple[Place, str]]:
    """Return what closes this house: a strip on each leg, a detail at each feature's wall."""
    chosen = []
    for place in places(document):
        key = place.mark.partition("/")[2]
        if key in ("", "house", "sill") and "cut-back" not in place.codes:
            chosen.append((place, _code(place)))
    return chosen


def _code(place: Place) -> str:
    best = ("strip-glass", "column-head-band", "over-wall-return", "collar-aluminium", "collar")
    return next((code for code in best if code in place.codes), place.codes[0])


def lines_for(plan: Plan) -> list[Line]:
    """Return the offer's lines: feet of strip, pieces of the rest."""
    document = PlanDocument.from_json(plan.document)
    count: Counter[str] = Counter()
    feet = Decimal(0)
    for place, code in needed(document):
        if leg := document.leg(place.mark):
            feet += leg.length_mm / MM_PER_FOOT
        elif code != "strip-glass":
            count[code] += 3 if code == "sill-riser" else 1
    lines = [Line("strip-glass", feet.quantize(Decimal("0.1")))]
    return lines + [Line(code, Decimal(n)) for code, n in sorted(count.items())]


def fit_and_hand_over(firm: Firm, job: Job, visit: Booking, stage: str) -> None:
    """Fit the day it is booked, or the day before today at the latest; prove; hand over."""
    day = visit.starts_at.astimezone(job.home.tz).date()
    at = firm.at(day, 10)
    by = visit.crew.members.get()
    visiting.arrive(booking=visit, at=firm.at(day, 8, 5))
    plan = Plan.objects.get(home=job.home, stage="surveyed")
    lot = f"L{day:%y}{day.timetuple().tm_yday // 40:02d}"
    for place, code in needed(PlanDocument.from_json(plan.document)):
        fitting = Fitting(code=code, place="", mark=place.mark, lot=lot)
        mark_fitted(job=job, fitting=fitting, photographs=[snapshot(firm.chance)], by=by, at=at)
    _costs(firm, job, visit, lot)
    finish_fitting(job=job, on=day)
    visiting.leave(booking=visit, at=firm.at(day, 14, 50))
    if stage == "fitted":
        return
    proving.prove(job=job, by=by, at=firm.at(day, 15))
    if stage == "proved":
        return
    proving.hand_over(job=job, at=firm.at(day, 16))
    if (owed := due(job)) > 0:
        paid_on = min(day + timedelta(days=5), firm.today())
        payment = Payment(kind="balance", way="transfer", amount=owed, received_on=paid_on)
        record_payment(job=job, payment=payment, at=min(firm.at(paid_on, 12), firm.now))


def _costs(firm: Firm, job: Job, visit: Booking, lot: str) -> None:
    """Material at the book's cost with some waste; hours of two people, now and then more."""
    day = visit.starts_at.astimezone(job.home.tz).date()
    by = visit.crew.members.get()
    hours = Decimal(2)
    for line in OfferLine.objects.filter(offer__job=job, offer__state="agreed"):
        waste = Decimal(firm.chance.choice(("1.04", "1.07", "1.12")))
        material = costing.Material(
            text=line.text,
            quantity=(line.quantity * waste).quantize(Decimal("0.01")),
            unit_cost=line.unit_cost,
            lot=lot,
        )
        if line.code != "minimum":
            costing.add_material(job=job, material=material, on=day, by=by)
        hours += line.quantity / STRIP_FT_AN_HOUR if line.unit == "ft" else Decimal("0.4")
    slow = Decimal(firm.chance.choice(("0.9", "1.0", "1.0", "1.25", "1.6")))
    whole = min((hours * 2 * slow).quantize(Decimal("0.25")), Decimal(24))
    costing.add_hours(job=job, hours=whole, crew=visit.crew, on=day, by=by)
