"""The plants of a plan as rows of their own, so that readings and forecasts stay with them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from customers.models import Home, Photo, Plant
from customers.plan.document import Feature, PlanDocument, in_words
from customers.plan.features import KINDS
from customers.plantnames import kind_named
from customers.signals import plant_measured
from shared.models import User
from shared.refusals import Refused


class AskFirst(Refused):
    """A measure that can hardly be right. The message is the question to ask a person."""


@dataclass(frozen=True, kw_only=True)
class Measured:
    """What an edit says of plants: growth kinds by id; of the plant `mark`, its photograph, and
    whether it was just cut back. `confirmed` keeps a measure that looks odd."""

    by: User
    at: datetime
    kinds: Mapping[str, str] = field(default_factory=dict)
    mark: str = ""
    photo: Photo | None = None
    cut: bool = False
    confirmed: bool = False


def follow_plants(
    *, home: Home, before: PlanDocument, after: PlanDocument, measured: Measured
) -> None:
    """Keep a row for each plant of the plan, and tell of those measured anew. Raises AskFirst.

    A plant taken off the plan keeps its row, as removed; its mark is not given again.
    """
    on = measured.at.astimezone(home.tz).date()
    old, new = _plants(before), _plants(after)
    gone = [mark for mark in old if mark not in new]
    Plant.objects.filter(home=home, mark__in=gone, removed_on=None).update(removed_on=on)
    rows = {row.mark: row for row in Plant.objects.filter(home=home, mark__in=new)}
    for mark, feature in new.items():
        row = rows.get(mark)
        was = old.get(mark)
        if was == feature and row and mark != measured.mark:
            continue
        row = _row(home, feature, row, measured)
        if _is_measured(was, feature, row, mark == measured.mark and measured.cut):
            _tell(row, feature, measured, on)


def taken_marks(home: Home) -> list[str]:
    """Return the marks that plants of the home have or had. One query."""
    return list(Plant.objects.filter(home=home).values_list("mark", flat=True))


def _plants(document: PlanDocument) -> dict[str, Feature]:
    return {
        each.id: each
        for each in document.features
        if each.kind in KINDS and KINDS[each.kind].is_plant
    }


def _row(home: Home, feature: Feature, row: Plant | None, measured: Measured) -> Plant:
    """Return the plant's row as the plan now says it; what it touches is set once."""
    row = row or Plant(home=home, mark=feature.id, touches=_nearest(feature))
    row.name = (feature.name.strip() or in_words(feature.id))[:100]
    row.place = f"at {in_words(feature.leg)}"[:200]
    row.kind = measured.kinds.get(feature.id) or row.kind or kind_named(row.name)[:60]
    row.needs_mm = feature.needs_mm or home.clearance_mm
    row.removed_on = None
    if feature.id == measured.mark and measured.photo:
        row.photo = measured.photo
    row.save()
    return row


def _gaps(feature: Feature) -> dict[str, Decimal]:
    """Return the clearances of a plant that were measured: to the building, and to what else."""
    gaps = {"building": feature.clearance_mm}
    gaps |= {touch.id: touch.clearance_mm for touch in feature.touches}
    return {surface: gap for surface, gap in gaps.items() if gap is not None}


def _nearest(feature: Feature) -> str:
    gaps = _gaps(feature)
    return min(gaps, key=lambda surface: gaps[surface], default="building")


def _is_measured(was: Feature | None, now: Feature, row: Plant, cut: bool) -> bool:
    gap = _gaps(now).get(row.touches)
    return gap is not None and (cut or was is None or _gaps(was).get(row.touches) != gap)


def _tell(row: Plant, feature: Feature, measured: Measured, on: date) -> None:
    mine = feature.id == measured.mark
    plant_measured.send(
        Plant,
        plant=row,
        on=on,
        clearance_mm=_gaps(feature)[row.touches],
        cut=mine and measured.cut,
        confirmed=measured.confirmed,
        photo=measured.photo if mine else None,
        by=measured.by,
    )
