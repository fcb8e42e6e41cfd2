"""What the record of a callback proposes: the facts gathered for warranties.decision."""

from datetime import date, datetime

from customers.models import Plant
from warranties.clauses import clause_texts
from warranties.decision import UNTOLD, AsProved, Dates, Decided, Found, Proposal, Told, decide
from warranties.models import Callback, Notice, Promise, Reading

WHICH_PLANT = "Which plant is it? Name its place as the plan does."
READ_THE_PAPER = (
    "This promise was given before this record began: read the paper that the household was given"
    " then, and decide by its words."
)


def proposal_for(callback: Callback) -> Proposal:
    """Return the proposal by the promise's own version of the terms. Up to six queries."""
    promise = callback.promise
    plant = _plant(callback) if callback.cause == "plant-contact" else None
    if callback.cause == "plant-contact" and plant is None:
        return Proposal("", "plants-touch", missing=(WHICH_PLANT,), bar=WHICH_PLANT)
    proposal = _decided(callback, plant)
    return _by_old_paper(promise, proposal) if promise.terms.version == 0 else proposal


def _by_old_paper(promise: Promise, proposal: Proposal) -> Proposal:
    """Our clauses do not speak for a paper of before; what stands on record of its words does."""
    said = promise.changes.filter(kind="opened").order_by("pk").values_list("reason", flat=True)
    return Proposal(
        "",
        text="".join(said),
        facts=proposal.facts,
        missing=(READ_THE_PAPER,),
        bar=proposal.bar if proposal.bar == UNTOLD else "",
    )


def decided() -> list[Decided]:
    """Every callback that was decided, as warranties.decision.unlike compares them. One query."""
    rows = Callback.objects.exclude(decision="").order_by("reported_at", "pk")
    return [Decided(*row) for row in rows.values_list("number", "cause", "proposed", "decision")]


def _decided(callback: Callback, plant: Plant | None) -> Proposal:
    promise = callback.promise
    return decide(
        clause_texts(promise.terms.body),
        Found(
            cause=callback.cause,
            photographs=callback.photos.count(),
            damaged_by_others=callback.damaged_by_others,
            shown_how=callback.shown_how,
            called_before=callback.called_before,
            price_agreed=callback.price_agreed is not None,
        ),
        _told(plant) if plant else [],
        AsProved(exception=_exception(promise, callback.place)),
        Dates(
            starts_on=promise.starts_on,
            reported_on=callback.reported_at.astimezone(promise.home.tz).date(),
            ended_on=promise.ended_on,
            suspended_on=_suspended_on(promise, callback.reported_at),
            clear_on=_clear_on(plant) if plant else None,
        ),
    )


def _plant(callback: Callback) -> Plant | None:
    """The plant at the callback's place; the only one where the home has only one."""
    plants = list(Plant.objects.filter(home=callback.promise.home_id, removed_on=None))
    place = callback.place.strip().lower()
    named = [
        plant
        for plant in plants
        if place and (place == plant.mark.lower() or plant.name.lower() in place)
    ]
    candidates = named or ([] if place else plants)
    return candidates[0] if len(candidates) == 1 else None


def _told(plant: Plant) -> list[Told]:
    """Every notice about the plant that was sent."""
    sent = Notice.objects.filter(plant=plant, kind="trim-back", state="sent", sent_at__isnull=False)
    tz = plant.home.tz
    return [
        Told(
            sent_on=notice.sent_at.astimezone(tz).date(),
            seen_on=notice.seen_at.astimezone(tz).date() if notice.seen_at else None,
        )
        for notice in sent.order_by("sent_at")
        if notice.sent_at
    ]


def _clear_on(plant: Plant) -> date | None:
    readings = Reading.objects.filter(plant=plant, clearance_mm__gt=0) | Reading.objects.filter(
        plant=plant, trimmed_to_mm__gt=0
    )
    return readings.order_by("-on").values_list("on", flat=True).first()


def _exception(promise: Promise, place: str) -> str:
    """The line of the exceptions that names the place, "" for none."""
    wanted = place.strip().lower()
    lines = promise.exceptions.splitlines()
    return next((line for line in lines if wanted and wanted in line.lower()), "")


def _suspended_on(promise: Promise, reported_at: datetime) -> date | None:
    """Since when the promise rested at the moment of the report, None where it did not."""
    changes = promise.changes.filter(kind__in=("suspended", "reinstated"), at__lte=reported_at)
    last = changes.first()
    if last is None or last.kind == "reinstated":
        return None
    return last.at.astimezone(promise.home.tz).date()
