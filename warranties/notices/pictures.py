"""The pictures that a mail brings along: each plant that it speaks of, and where it stands."""

from typing import NamedTuple

from django.utils.translation import gettext, override

from customers.drawn import current_plan
from customers.models import Home, Plant
from customers.plan.document import PlanDocument, UnreadablePlan
from customers.plan.drawing import spot


class Picture(NamedTuple):
    """`name` is the picture's name within its mail, `words` what it shows."""

    name: str
    words: str
    png: bytes


def pictures_of(home: Home, plants: list[Plant], language: str) -> dict[int, Picture]:
    """Return the picture of each plant by its key, where the plan shows it. One query."""
    document = _document(home) if plants else None
    if document is None:
        return {}
    legs = {each.id: each.leg.removeprefix("leg-") for each in document.features}
    found = {}
    for plant in plants:
        if png := spot(document, plant.mark):
            found[plant.pk] = Picture(f"plant-{plant.pk}", _words(plant, legs, language), png)
    return found


def _words(plant: Plant, legs: dict[str, str], language: str) -> str:
    with override(language):
        said = gettext("The home from above: the spot is at wall %(leg)s.")
    return said % {"leg": legs[plant.mark]}


def _document(home: Home) -> PlanDocument | None:
    plan = current_plan(home)
    try:
        return PlanDocument.from_json(plan.document) if plan else None
    except UnreadablePlan:
        return None
