"""Invented houses for the demo: a plan each, drawn from a seeded chance, sound and closable."""

from decimal import Decimal
from random import Random
from typing import Any

from customers.plan.document import Feature, Leg, PlanDocument, Walk
from customers.plantnames import plant_said

FOOT = Decimal("304.8")
INCH = FOOT / 12
# Where north lies, from the first leg: houses stand square to streets that run any way.
NORTHS = (90, 0, 180, 72, 270, 315)
SURFACES = ("stucco", "stucco", "block", "brick")
NEEDS_MM = FOOT
# The share of houses that have one.
GARAGES, WIRES, PATIO_DOORS, PORCHES, GATE_WALLS = 0.4, 0.6, 0.5, 0.35, 0.45


def feet(count: float) -> Decimal:
    return FOOT * Decimal(str(count))


def inches(count: float | Decimal) -> Decimal:
    return INCH * Decimal(str(count))


def a_house(chance: Random, plants: list[str]) -> PlanDocument:
    """Return a plan as surveyed: nothing fitted yet, plants standing clear."""
    shape = chance.choice((_rectangle, _ell, _tee))
    walks = [Walk(id="walk-1", name="House", legs=_legs(shape(chance), chance, first=1))]
    if chance.random() < GARAGES:
        side, deep = chance.randint(20, 24), chance.randint(20, 22)
        turns = [(side, 90), (deep, 90), (side, 90), (deep, 90)]
        garage = _legs(turns, chance, first=len(walks[0].legs) + 1)
        walks.append(Walk(id="walk-2", name="Garage", kind="garage", legs=garage))
    features = _features(walks, chance) + _plants(walks[0], chance, plants)
    return PlanDocument(
        walks=tuple(walks),
        features=tuple(features),
        north_deg=Decimal(NORTHS[int(walks[0].legs[0].length_mm // FOOT) % len(NORTHS)]),
        north_known=True,
    )


Turns = list[tuple[int, int]]


def _rectangle(chance: Random) -> Turns:
    long, wide = chance.randint(36, 58), chance.randint(26, 36)
    return [(long, 90), (wide, 90), (long, 90), (wide, 90)]


def _ell(chance: Random) -> Turns:
    long, wide = chance.randint(40, 58), chance.randint(30, 40)
    a, b = chance.randint(10, 16), chance.randint(10, 14)
    return [(long, 90), (wide - b, 90), (a, -90), (b, 90), (long - a, 90), (wide, 90)]


def _tee(chance: Random) -> Turns:
    long, wide, out = chance.randint(44, 58), chance.randint(28, 34), chance.randint(8, 12)
    left = (long - 18) // 2
    return [
        (long, 90),
        (wide, 90),
        (long - left - 18, -90),
        (out, 90),
        (18, 90),
        (out, -90),
        (left, 90),
        (wide, 90),
    ]


def _legs(turns: Turns, chance: Random, first: int) -> tuple[Leg, ...]:
    surface = chance.choice(SURFACES)
    return tuple(
        Leg(
            id=f"leg-{n}",
            length_mm=feet(length),
            turn_deg=Decimal(turn),
            surface=surface,
            strip_height_mm=NEEDS_MM,
        )
        for n, (length, turn) in enumerate(turns, start=first)
    )


def _features(walks: list[Walk], chance: Random) -> list[Feature]:
    legs = walks[0].legs
    back = legs[len(legs) // 2]
    made = [
        _thing(
            "door-1",
            "door",
            "front door",
            legs[0],
            0.5,
            width_mm=inches(36),
            sill_mm=inches(6),
        ),
        _thing("pipe-1", "pipe", "hose bib", legs[1], 0.4, width_mm=inches(1.0625)),
        _thing("meter-1", "meter riser", "gas riser", legs[-1], 0.3, width_mm=inches(1.3125)),
        _thing("conduit-1", "conduit", "air conditioner line", back, 0.8, width_mm=inches(2.375)),
    ]
    if chance.random() < WIRES:
        made.append(_thing("wire-1", "wire", "television cable", legs[-1], 0.7))
    if chance.random() < PATIO_DOORS:
        made.append(
            _thing(
                "door-2",
                "sliding door",
                "patio door",
                back,
                0.45,
                width_mm=inches(72),
                sill_mm=inches(0.75),
            )
        )
    if chance.random() < PORCHES:
        made += [
            _thing(
                f"column-{n}",
                "column",
                f"porch column {n}",
                legs[0],
                at,
                width_mm=inches(10),
                out_mm=feet(5),
            )
            for n, at in enumerate((0.35, 0.65), start=1)
        ]
    if chance.random() < GATE_WALLS:
        made.append(
            _thing(
                "wall-1",
                "garden wall",
                "gate wall",
                legs[1],
                0.8,
                width_mm=inches(8),
                out_mm=feet(8),
            )
        )
    return made


def _thing(an_id: str, kind: str, name: str, leg: Leg, part: float, **more: Any) -> Feature:
    at = inches((leg.length_mm * Decimal(str(part)) / INCH).quantize(Decimal(1)))
    return Feature(id=an_id, kind=kind, name=name, leg=leg.id, at_mm=at, **more)


def _plants(walk: Walk, chance: Random, kinds: list[str]) -> list[Feature]:
    spots = chance.sample(
        [(leg, part) for leg in walk.legs for part in (0.2, 0.6)], k=chance.randint(1, 3)
    )
    return [
        _thing(
            f"plant-{n}",
            "plant on the ground",
            plant_said(chance.choice(kinds), "en"),
            leg,
            part,
            width_mm=feet(chance.choice((2, 3, 4))),
            clearance_mm=NEEDS_MM,
            needs_mm=NEEDS_MM,
        )
        for n, (leg, part) in enumerate(spots, start=1)
    ]
