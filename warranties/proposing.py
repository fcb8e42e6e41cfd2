"""What the record of a callback proposes: the facts gathered for warranties.decision."""

import re
from datetime import date, datetime

from django.conf import settings
from django.utils.translation import gettext

from customers.models import Plant
from shared.length import Length
from shared.wording import gettext_noop
from warranties.clauses import clause_texts
from warranties.decision import (
    COVERED,
    OUR_WORK,
    UNTOLD,
    Announced,
    AsProved,
    Dates,
    Decided,
    Fact,
    Found,
    Proposal,
    Told,
    decide,
    last_clear,
)
from warranties.disclosures import is_full
from warranties.models import Announced as Announcement
from warranties.models import Callback, Promise
from warranties.told import readings_of, tellings, told_of_rest

WHICH_PLANT = Fact(gettext_noop("Which plant is it? Name its place as the plan does."))
READ_THE_PAPER = Fact(
    gettext_noop(
        "This promise was given before this record began: read the paper that the household was"
        " given then, and decide by its words."
    )
)
# Which announced work may be the cause that was found.
WORKS = {
    "new-line": ("dish", "other"),
    "building-changed": ("pool", "fence", "dish", "repaint", "beds", "other"),
}


def proposal_for(callback: Callback) -> Proposal:
    """Return the proposal by the promise's own version of the terms. Up to fifteen queries."""
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
        bar=proposal.bar if proposal.bar == UNTOLD else None,
    )


def decided() -> list[Decided]:
    """Every callback that was decided, as warranties.decision.unlike compares them. One query."""
    rows = Callback.objects.exclude(decision="").order_by("reported_at", "pk")
    return [Decided(*row) for row in rows.values_list("number", "cause", "proposed", "decision")]


def _decided(callback: Callback, plant: Plant | None) -> Proposal:
    promise = callback.promise
    reported_on = _day(promise, callback.reported_at)
    readings = readings_of(plant) if plant else []
    suspended_on = _suspended_on(promise, callback.reported_at)
    return decide(
        clause_texts(promise.terms.body),
        Found(
            cause=callback.cause,
            photographs=tuple(str(each) for each in callback.photos.order_by("pk")),
            readings=tuple(readings),
            announced=_announced(callback),
            repairs_before=_repairs_before(callback),
            choice_after=settings.FULL_WARRANTY_ATTEMPTS if is_full(promise.terms.title) else None,
            damaged_by_others=callback.damaged_by_others,
            shown_how=callback.shown_how,
            called_before=callback.called_before,
            price_agreed=callback.price_agreed is not None,
        ),
        _told(promise, plant) if plant else [],
        _as_proved(callback),
        Dates(
            starts_on=promise.starts_on,
            reported_on=reported_on,
            ended_on=_ended_on(promise, callback.reported_at),
            suspended_on=suspended_on,
            rest_told_on=_day_if(promise, told_of_rest(promise)) if suspended_on else None,
            clear_on=last_clear(readings, Length(plant.needs_mm), reported_on=reported_on)
            if plant
            else None,
        ),
    )


def _plant(callback: Callback) -> Plant | None:
    """The plant at the callback's place; the only one where the home has only one."""
    plants = list(Plant.objects.filter(home=callback.promise.home_id, removed_on=None))
    place = callback.place.strip()
    named = [
        plant
        for plant in plants
        if place.lower() == plant.mark.lower() or (place and _names(place, plant.name))
    ]
    candidates = named or ([] if place else plants)
    return candidates[0] if len(candidates) == 1 else None


def _names(text: str, name: str) -> bool:
    """Whether the name stands in the text as a whole: "leg 1" not in "leg 12"."""
    return re.search(rf"(?<!\w){re.escape(name)}(?!\w)", text, re.IGNORECASE) is not None


def _told(promise: Promise, plant: Plant) -> list[Told]:
    return [
        Told(sent_on=_day(promise, each.at), seen_on=_day_if(promise, each.seen_at))
        for each in tellings(promise, plant)
    ]


def _announced(callback: Callback) -> tuple[Announced, ...]:
    """The work that was announced to us before the report and may be what was found. One query."""
    told = Announcement.objects.filter(
        home=callback.promise.home_id,
        work__in=WORKS.get(callback.cause, ()),
        told_at__lt=callback.reported_at,
        dropped_at=None,
    )
    return tuple(
        Announced(
            work=gettext(each.get_work_display()),
            on=each.on,
            told_on=_day(callback.promise, each.told_at),
        )
        for each in told
    )


def _repairs_before(callback: Callback) -> int:
    """How often we repaired the same place under this promise before. One query or none."""
    if callback.cause not in OUR_WORK or not callback.place:
        return 0
    same = Callback.objects.filter(promise=callback.promise_id, place__iexact=callback.place)
    repaired = same.filter(cause__in=OUR_WORK, decision=COVERED, closed_at__isnull=False)
    return repaired.exclude(pk=callback.pk).count()


def _as_proved(callback: Callback) -> AsProved:
    """The exception that names the place, and since when a certificate told the household of it."""
    promise, place = callback.promise, callback.place.strip()
    lines = promise.exceptions.splitlines() if place else []
    exception = next((line for line in lines if _names(line, place)), "")
    if not exception:
        return AsProved()
    issued = promise.certificates.filter(issued_at__lte=callback.reported_at).order_by("issued_at")
    if moved := promise.changes.filter(kind="transferred").first():
        # What those before them held has told them nothing.
        issued = issued.filter(issued_at__gte=moved.at)
    printed = (each.issued_at for each in issued if exception in each.record.get("exceptions", ()))
    return AsProved(exception=exception, printed_on=_day_if(promise, next(printed, None)))


def _ended_on(promise: Promise, reported_at: datetime) -> date | None:
    """When it ended, if that was on record by the report: nobody ends it afterwards to charge."""
    known = promise.changes.filter(kind="ended", at__lte=reported_at).exists()
    return promise.ended_on if known else None


def _suspended_on(promise: Promise, reported_at: datetime) -> date | None:
    """Since when the promise rested at the moment of the report, None where it did not."""
    changes = promise.changes.filter(kind__in=("suspended", "reinstated"), at__lte=reported_at)
    last = changes.first()
    if last is None or last.kind == "reinstated":
        return None
    return _day(promise, last.at)


def _day(promise: Promise, at: datetime) -> date:
    """The day it was at the home."""
    return at.astimezone(promise.home.tz).date()


def _day_if(promise: Promise, at: datetime | None) -> date | None:
    return _day(promise, at) if at else None
