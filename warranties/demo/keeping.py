"""The demo's promises kept: the years lived through, callbacks answered, visits of today."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

from customers.models import Home, Plan
from customers.plan.document import Feature, PlanDocument
from jobs.actions import booking, costing
from jobs.models import Proof
from warranties import notices
from warranties.actions import callbacks, recalling
from warranties.demo.firm import Firm
from warranties.demo.pictures import snapshot
from warranties.demo.standing import sell_and_end
from warranties.demo.years import Years, mail_until
from warranties.models import SEAL_CAUSES, Promise

CALLBACK_EVERY = 5  # every fifth promise has one
LEFT_OPEN_EVERY = 6


def keep(firm: Firm) -> None:
    promises = list(Promise.objects.select_related("home", "job__crew").order_by("pk"))
    Years(firm, promises).live()
    for index, promise in enumerate(promises[::CALLBACK_EVERY]):
        _callback(
            firm,
            promise,
            firm.facts["callbacks"][index % 4],
            close=index % LEFT_OPEN_EVERY != LEFT_OPEN_EVERY - 1,
        )
    sell_and_end(firm, promises)
    visits_today(firm, promises)
    a_new_cable(firm, promises[0].home)
    for proof in Proof.objects.all():
        Plan.objects.filter(home__jobs__proof=proof, stage="fitted").update(
            changed_at=proof.proved_at
        )
    recalling.count_seals(today=firm.today())
    mail_until(firm, firm.now - timedelta(hours=1))
    notices.plan_notices(firm.now)  # They still wait, for the first start to send them.


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
        detail=job.fitted_details.filter(mark="leg-3").first()
        if facts["cause"] in SEAL_CAUSES
        else None,
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
