"""Readings of plants, and the forecast that each plant's readings come to."""

from datetime import date

from django.conf import settings
from django.db import transaction

from customers.models import Photo, Plant
from shared.models import User
from warranties import growth, trimming
from warranties.growth import forecast
from warranties.models import Reading, Watch
from warranties.plants import COLUMNS, estimate_of

BATCH = 2_000


@transaction.atomic
def keep_reading(
    *, reading: Reading, today: date, by: User | None = None, photo: Photo | None = None
) -> Watch:
    """Keep a reading (not saved yet) and forecast its plant anew.

    Raises growth.OddReading where it can hardly be right: the text is the question to ask. Ask it,
    set `reading.confirmed` and come again.
    """
    plant = Plant.objects.select_for_update().get(pk=reading.plant_id)
    kept = [as_read(each) for each in plant.readings.all()]
    trimming.ask(plant.kind, as_read(reading), kept, today=today)
    reading.by, reading.photo = by, photo
    reading.save()
    return refresh(plant=plant)


@transaction.atomic
def replace_reading(*, reading: Reading, by: User | None, photo: Photo | None = None) -> Watch:
    """Keep a reading of today in place of our own of the same day. Raises growth.OddReading."""
    same = Reading.objects.filter(plant=reading.plant_id, on=reading.on, way="tech")
    same.filter(trimmed_to_mm__isnull=reading.trimmed_to_mm is None).delete()
    return keep_reading(reading=reading, today=reading.on, by=by, photo=photo)


@transaction.atomic
def refresh(*, plant: Plant) -> Watch:
    """Forecast a plant from all its readings. Three queries. Raises growth.OddReading."""
    readings = list(plant.readings.order_by("on", "pk"))
    found = trimming.watched(plant.kind, map(as_read, readings), settings.CONTACT_CHANCE)
    estimate = found.estimate
    cuts = [each for each in readings if each.trimmed_to_mm is not None]
    watch, _made = Watch.objects.update_or_create(
        plant=plant,
        defaults={
            "cycle": (cuts[-1] if cuts else readings[0]).pk,
            "opens_on": found.opens_on,
            "chance": settings.CONTACT_CHANCE,
            "earliest_on": found.earliest_on,
            "latest_on": found.latest_on,
            "read_on": estimate.on,
            "touching": estimate.touching,
            **{name: getattr(estimate, name) for name in COLUMNS},
        },
    )
    return watch


def forecast_all(*, chance: float) -> int:
    """Set every plant's day to another chance, from its kept estimate; return how many changed."""
    changed = 0
    stale = Watch.objects.exclude(chance=chance).select_related("plant").order_by("pk")
    while batch := list(stale[:BATCH]):
        days = forecast([estimate_of(watch) for watch in batch], [chance])[:, 0]
        for watch, day in zip(batch, days.tolist(), strict=True):
            watch.opens_on, watch.chance = day, chance
        changed += Watch.objects.bulk_update(batch, ["opens_on", "chance"])
    return changed


def as_read(reading: Reading) -> growth.Reading:
    cut = reading.trimmed_to_mm
    return growth.Reading(
        on=reading.on,
        clearance_mm=None if reading.clearance_mm is None else float(reading.clearance_mm),
        trimmed_to_mm=None if cut is None else float(cut),
        confirmed=reading.confirmed,
    )
