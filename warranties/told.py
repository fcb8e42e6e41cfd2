"""What the holders of a promise were told, and when: the record behind every charge."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from customers.models import Plant
from shared.length import Length
from warranties.decision import Seen
from warranties.models import Notice, Promise, Reading
from warranties.models.promise import holders

RESTS = "promise-rests"


@dataclass(frozen=True, slots=True)
class Telling:
    """One notice that went out to a holder, in a letter of its own or together with others."""

    at: datetime
    seen_at: datetime | None


def tellings(promise: Promise, plant: Plant) -> list[Telling]:
    """Every notice about the plant that went out to who holds the promise. Three queries.

    What a household before them was told does not count, and no mail that came back.
    """
    notices = _went_out(promise).filter(plant=plant, kind="trim-back").order_by("sent_at")
    return [Telling(each.sent_at, each.seen_at) for each in notices if each.sent_at]


def told_of_rest(promise: Promise) -> datetime | None:
    """When the notice of the promise's last rest went out to who holds it. Three queries."""
    rests = promise.changes.filter(kind="suspended").first()
    if rests is None:
        return None
    return (
        _went_out(promise)
        .filter(kind=RESTS, occasion__startswith=f"{RESTS}:{rests.pk}:")
        .order_by("sent_at")
        .values_list("sent_at", flat=True)
        .first()
    )


def readings_of(plant: Plant) -> list[Seen]:
    """What was seen of the plant, in order. One query."""
    readings = Reading.objects.filter(plant=plant).select_related("photo").order_by("on", "pk")
    return [_seen(each) for each in readings]


def _seen(reading: Reading) -> Seen:
    clear, cut_to = reading.clearance_mm, reading.trimmed_to_mm
    return Seen(
        on=reading.on,
        clear=None if clear is None else Length(clear),
        cut_to=None if cut_to is None else Length(cut_to),
        by_them=reading.way == "household",
        photograph=str(reading.photo or ""),
    )


def _went_out(promise: Promise) -> QuerySet[Notice]:
    """Notices that its holders were told, alone or in another, and that did not come back."""
    return Notice.objects.told().filter(bounced_at=None, household__in=holders(promise))
