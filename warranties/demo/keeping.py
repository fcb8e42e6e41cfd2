"""The demo's promises kept: plants read and trimmed, checks done, notices answered, callbacks."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import F

from customers.models import Home, Plan, Plant
from customers.plan.document import Feature, PlanDocument
from jobs.actions import booking, costing
from jobs.models import Proof
from warranties.actions import callbacks, watching
from warranties.demo.firm import Firm
from warranties.demo.pictures import snapshot
from warranties.growth import OddReading
from warranties.models import Check, Notice, Promise, Reading

FULL_MM = Decimal(305)
EVERY_DAYS = 150
CALLBACK_EVERY = 5  # every fifth promise has one
LEFT_OPEN_EVERY = 6


def keep(firm: Firm) -> None:
    promises = list(Promise.objects.select_related("home", "job__crew").order_by("pk"))
    for promise in promises:
        for plant in Plant.objects.filter(home=promise.home):
            _read(firm, plant, promise.starts_on)
        _checks(firm, promise)
    for index, promise in enumerate(promises[::CALLBACK_EVERY]):
        _callback(
            firm,
            promise,
            firm.facts["callbacks"][index % 4],
            close=index % LEFT_OPEN_EVERY != LEFT_OPEN_EVERY - 1,
        )
    visits_today(firm, promises)
    a_new_cable(firm, promises[0].home)
    for proof in Proof.objects.all():
        Plan.objects.filter(home__jobs__proof=proof, stage="fitted").update(
            changed_at=proof.proved_at
        )
    past = Notice.objects.filter(state="planned", send_at__lt=firm.now)
    past.update(state="sent", sent_at=F("send_at"), seen_at=F("send_at") + timedelta(hours=5))


def _read(firm: Firm, plant: Plant, since: date) -> None:
    """A reading at the fitting and every five months, cut back when it is near."""
    clearance, day, by = FULL_MM, since, firm.people["tech"]
    while day < firm.today():
        cut = clearance < FULL_MM / 3
        reading = Reading(
            plant=plant,
            on=day,
            clearance_mm=clearance,
            trimmed_to_mm=FULL_MM if cut else None,
            way=firm.chance.choice(("tech", "household")),
        )
        try:
            watching.keep_reading(reading=reading, today=firm.today(), by=by)
        except OddReading:
            return
        grown = Decimal(firm.chance.randint(40, 110))
        clearance = max((FULL_MM if cut else clearance) - grown, Decimal(0))
        day += timedelta(days=EVERY_DAYS + firm.chance.randint(-20, 20))


def _checks(firm: Firm, promise: Promise) -> None:
    """What fell due was done a few days later, but for one home in eight."""
    if firm.chance.random() < 1 / 8:
        return
    due = Check.objects.filter(home=promise.home, done_on=None, due_on__lt=firm.today())
    for check in due:
        check.done_on = min(check.due_on + timedelta(days=firm.chance.randint(0, 9)), firm.today())
        check.findings = "Joints sound, strip clean, plants clear."
        check.by = firm.people["tech"]
        check.save()


def _callback(firm: Firm, promise: Promise, facts: dict[str, Any], *, close: bool) -> None:
    span = (firm.today() - promise.starts_on).days
    on = promise.starts_on + timedelta(days=max(1, span * 2 // 3))
    callback = callbacks.log_callback(promise=promise, report=facts["report"], at=firm.at(on, 9))
    if not close:
        return
    by, job = firm.people["tech"], callbacks.job_of(callback)
    found = callbacks.Findings(
        findings=facts["findings"],
        place="leg 3",
        cause=facts["cause"],
        remedy=facts["remedy"],
        called_before=facts.get("called_before"),
    )
    day = min(on + timedelta(days=2), firm.today())
    callbacks.record_findings(
        callback=callback,
        found=found,
        photographs=[snapshot(firm.chance)],
        by=by,
        at=firm.at(day, 10),
    )
    callbacks.decide(
        callback=callback,
        decision=facts["decision"],
        reason=facts["reason"],
        by=firm.people["office"],
        at=firm.at(day, 12),
    )
    crew = job.crew or firm.crews[0]
    costing.add_hours(
        job=job,
        hours=Decimal(facts["hours"]),
        crew=crew,
        on=day,
        by=by,
        callback=callback.number,
    )
    callbacks.close(callback=callback, at=firm.at(day, 13))


def visits_today(firm: Firm, promises: Sequence[Promise]) -> None:
    """Two checks and a callback for today's rounds, each at a home with a promise."""
    today = firm.today()
    stops = zip(("check", "callback", "check"), (9, 11, 9), (0, 0, 1), strict=True)
    for promise, (purpose, hour, crew) in zip(promises[1:4], stops, strict=True):
        booking.book(
            crew=firm.crews[crew],
            home=promise.home,
            purpose=purpose,
            starts_at=firm.at(today, hour),
            ends_at=firm.at(today, hour + 1),
            at=firm.at(today - timedelta(days=3), 10),
        )


def a_new_cable(firm: Firm, home: Home) -> None:
    """A cable came through the wall since: the plan of today knows it, and the ring is open."""
    fitted = Plan.objects.get(home=home, stage="fitted")
    document = PlanDocument.from_json(fitted.document)
    cable = Feature(
        id="wire-9",
        kind="wire",
        name="new internet cable",
        leg=document.walks[0].legs[1].id,
        at_mm=Decimal(1500),
    )
    grown = replace(document, features=(*document.features, cable))
    Plan.objects.create(
        home=home,
        stage="today",
        revision=1,
        document=grown.to_json(),
        changed_by=firm.people["tech"],
    )
