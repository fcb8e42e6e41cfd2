"""Which way each wall of a plan faces, and which walls stand indoors.

Definition. Going along a leg with the building to the left, its wall faces the leg's azimuth plus
90 degrees; with the building to the right, minus 90. Azimuths count clockwise from north, as
surveyors count them. Headings are added up from the turns as they were measured, so that square
corners stay square; a curved stretch faces as its chord does. The building lies left where the
turns sum to once round to the left; a courtyard has it on the other hand. A quarter begins half
way between two winds and the later one, clockwise, has the line itself: south-east is south.

Quarters, not eighths, are our own choice: four groups of seals each see twice the openings. The
side is left empty where nobody took north, where the turns do not add up to once round within what
a walk is allowed, and on every walk but the first: north is told from its first leg, and the plan
does not say how a second walk lies to it. Where the strip runs inside a garage that stays dry, the
wall faces no weather at all.
Source for the azimuth of a line: any handbook of surveying; tests/outside/test_walk.py.
"""

import math
from collections.abc import Mapping
from decimal import Decimal
from itertools import accumulate

from customers.plan.document import PlanDocument, Walk
from customers.plan.suspects import turn_excess
from customers.plan.walk import ALLOWED_DEG

QUARTERS = ("north", "east", "south", "west")
INDOORS = "indoors"
EXPOSURES = (*QUARTERS, INDOORS)

SQUARE = Decimal(90)
ROUND = Decimal(360)


def exposures(document: PlanDocument) -> Mapping[str, str]:
    """Return the exposure of each leg by its id, "" where the plan does not say."""
    faced = _faced(document)
    return {
        leg.id: INDOORS if leg.inside_dry else quarter(faced[leg.id]) if leg.id in faced else ""
        for _, leg in document.legs
    }


def quarter(azimuth: Decimal) -> str:
    """Return the quarter in which an azimuth lies."""
    return QUARTERS[int((azimuth + SQUARE / 2) % ROUND // SQUARE)]


def azimuths(walk: Walk, north_deg: Decimal) -> list[Decimal]:
    """Return which way the wall of each leg faces, in degrees clockwise from north, under 360.

    `north_deg` is where north lies from the first leg's heading, left positive. Empty where the
    turns are not those of a closed walk.
    """
    turns = [leg.turn_deg for leg in walk.legs]
    whole = sum(turns, Decimal(0))
    if abs(turn_excess(float(whole))) > ALLOWED_DEG * math.sqrt(max(1, len(turns))):
        return []
    building_left = (whole > 0) != (walk.kind == "courtyard")
    outward = SQUARE if building_left else -SQUARE
    headings = accumulate(turns[:-1], initial=Decimal(0))
    # Python's remainder of decimals keeps the sign of what is divided.
    return [((north_deg - heading + outward) % ROUND + ROUND) % ROUND for heading in headings]


def _faced(document: PlanDocument) -> dict[str, Decimal]:
    north = document.north
    if north is None or not document.walks:
        return {}
    first = document.walks[0]
    ids = (leg.id for leg in first.legs)
    return dict(zip(ids, azimuths(first, north), strict=False))
