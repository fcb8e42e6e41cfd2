"""What the record of a callback proposes: the facts gathered for warranties.decision."""

from datetime import date

from customers.models import Plant
from warranties.clauses import clause_texts
from warranties.decision import AsProved, Dates, Found, Proposal, Told, decide
from warranties.models import Callback, Notice, Promise, Reading

WHICH_PLANT = "Which plant is it? Name its place as the plan does."


def proposal_for(callback: Callback) -> Proposal:
    """Return the proposal by the promise's own version of the terms. Up to six queries."""
    promise = callback.promise
    plant = _plant(callback) if callback.cause == "plant-contact" else None
    if callback.cause == "plant-contact" and plant is None:
        return Proposal("", "plants-touch", missing=(WHICH_PLANT,))
    return decide(
        clause_texts(promise.terms.body),
        Found(cause=callback.cause, photographs=callback.photos.count()),
        _told(plant) if plant else [],
        AsProved(exception=_exception(promise, callback.place)),
        Dates(
            starts_on=promise.starts_on,
            reported_on=callback.reported_at.astimezone(promise.home.tz).date(),
            ended_on=promise.ended_on,
            suspended_on=_suspended_on(promise),
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


def _suspended_on(promise: Promise) -> date | None:
    if promise.state != "suspended":
        return None
    change = promise.changes.filter(kind="suspended").first()
    return change.at.astimezone(promise.home.tz).date() if change else None
