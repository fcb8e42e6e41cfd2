"""The rows behind what works: notices of the last twelve months counted, plants that we told of."""

from collections import defaultdict
from datetime import date, datetime, timedelta

from django.db.models import Count, Q
from django.utils.timezone import localdate

from warranties.models import Notice, Reading
from warranties.working import Fate, Look, Told, fate

PERIOD = timedelta(days=365)


def told(now: datetime) -> list[Told]:
    """What was told, alone or in another, counted by kind, channel and reminder. One query."""
    counted = (
        Notice.objects.told()
        .filter(sent_at__gt=now - PERIOD)
        .order_by("kind", "channel", "lead")
        .values_list("kind", "channel", "lead")
        .annotate(
            sent=Count("pk"),
            came_back=Count("pk", filter=Q(bounced_at__isnull=False)),
            seen=Count("pk", filter=Q(seen_at__isnull=False)),
            answered=Count("pk", filter=~Q(answer="")),
        )
    )
    return [Told(*row) for row in counted]


def fates(now: datetime) -> list[Fate]:
    """What became of every plant that we told of, once a growth from cut to cut. Two queries."""
    told = Notice.objects.told().filter(sent_at__gt=now - PERIOD)
    about = told.filter(kind="trim-back", plant__isnull=False, after=None)
    rows = about.order_by("sent_at", "pk").values_list("occasion", "plant_id", "sent_at", "due_on")
    first: dict[str, tuple[int, date, date]] = {}
    for occasion, plant, at, due_on in rows:
        growth = occasion.rpartition(":")[0]
        on = first[growth][1] if growth in first else localdate(at)
        first[growth] = (plant, on, due_on or on)
    looks = _looks(now)
    return [fate(on, by, looks[plant]) for plant, on, by in first.values()]


def _looks(now: datetime) -> dict[int, list[Look]]:
    """The readings of all plants since the period began, by plant. One query."""
    columns = ("plant_id", "on", "clearance_mm", "trimmed_to_mm")
    since = Reading.objects.filter(on__gt=localdate(now - PERIOD)).order_by("on", "pk")
    looks: dict[int, list[Look]] = defaultdict(list)
    for plant, on, clearance, trimmed in since.values_list(*columns):
        measured = None if clearance is None else float(clearance)
        looks[plant].append(Look(on, measured, trimmed is not None))
    return looks
