"""What the record says could have opened a home's ring: what a tech reads first on a callback."""

from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext

from customers.drawn import ring_of
from customers.models import Home, Plant
from customers.plan.document import UnreadablePlan
from jobs.models import Proof
from warranties.models import Callback, Notice, Reading

SHOWN = 5


@dataclass(frozen=True)
class PlantRecord:
    """A plant and how far it stood off when it was last looked at, None where nobody did."""

    plant: Plant
    reading: Reading | None


@dataclass(frozen=True)
class HomeRecord:
    """`ways_in` are in words, as the home sheet has them; None where there is no plan to ask."""

    plants: list[PlantRecord]
    proof: Proof | None
    notices: list[Notice]
    earlier: list[Callback]
    ways_in: list[str] | None


def home_record(home: Home, *, on: date, beside: Callback | None = None) -> HomeRecord:
    """Return the record of a home, what stands closest to the wall first. Six queries."""
    earlier = Callback.objects.filter(promise__home=home)
    if beside:
        earlier = earlier.exclude(pk=beside.pk)
    return HomeRecord(
        plants=_plants(home),
        proof=Proof.objects.filter(job__home=home)
        .select_related("job", "proved_by")
        .order_by("-proved_at")
        .first(),
        notices=list(Notice.objects.told().filter(home=home).order_by("-sent_at")[:SHOWN]),
        earlier=list(earlier[:SHOWN]),
        ways_in=_ways_in(home, on),
    )


def _plants(home: Home) -> list[PlantRecord]:
    standing = Plant.objects.filter(home=home, removed_on=None).prefetch_related("readings")
    records = [
        PlantRecord(each, max(each.readings.all(), key=_moment, default=None)) for each in standing
    ]
    return sorted(records, key=lambda each: (each.reading is not None, _stands_off(each.reading)))


def _moment(reading: Reading) -> tuple[date, int]:
    return reading.on, reading.pk


def _stands_off(reading: Reading | None) -> float:
    if reading is None:
        return 0
    cut = reading.trimmed_to_mm
    return float((reading.clearance_mm if cut is None else cut) or 0)


def _ways_in(home: Home, on: date) -> list[str] | None:
    try:
        ring = ring_of(home, on=on)
    except UnreadablePlan:
        return None
    return [way.said(gettext) for way in ring.ways[:SHOWN]] if ring else None
