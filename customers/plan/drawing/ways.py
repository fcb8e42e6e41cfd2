"""Ways in as arrows: from what stands on the ground, by each step, to the wall."""

import math

from customers.plan.drawing.shapes import Line, Point, Shape, moved
from customers.plan.drawing.site import Place, Site
from customers.plan.ring import RingCheck, WayIn

MOST = 12
START_UNITS = 46.0


def arrows(site: Site, check: RingCheck, unit: float) -> list[Shape]:
    """One arrow a way in, the first twelve; two ways by the same wall are drawn once."""
    drawn: dict[tuple[str, ...], list[Shape]] = {}
    for way in check.ways_in:
        stops = _stops(site, way)
        if stops and len(drawn) < MOST:
            drawn.setdefault(tuple(ref for ref, _ in stops), _arrow(stops, unit))
    return [shape for shapes in drawn.values() for shape in shapes]


def _stops(site: Site, way: WayIn) -> list[tuple[str, Place]]:
    """The places that the way passes, by the leg or feature that its contacts belong to."""
    stops: list[tuple[str, Place]] = []
    for contact in way.contacts:
        owner = contact.ref.split("/")[0]
        place = _place(site, owner)
        if place and (not stops or stops[-1][0] != owner):
            stops.append((owner, place))
    return stops


def _place(site: Site, owner: str) -> Place | None:
    if feature := site.plan.feature(owner):
        return site.of(feature)
    leg = site.plan.leg(owner)
    # A little off the middle, where the leg's length is written.
    return site.on_leg(owner, float(leg.length_mm) * 0.4) if leg else None


def _arrow(stops: list[tuple[str, Place]], unit: float) -> list[Shape]:
    start = stops[0][1].out(START_UNITS * unit)
    points: list[Point] = [moved(start, stops[0][1].along_deg, -10 * unit)]
    points += [place.out(10 * unit) for _, place in stops[:-1]]
    end = stops[-1][1]
    tip = end.out(1.5 * unit)
    points.append(tip)
    wings = [moved(tip, _back(points) + turn, 9 * unit) for turn in (-28, 28)]
    return [Line(tuple(points), "way-in"), Line((wings[0], tip, wings[1]), "way-in-tip")]


def _back(points: list[Point]) -> float:
    """The direction from the tip back along the last piece, in degrees."""
    (ax, ay), (bx, by) = points[-2], points[-1]
    return math.degrees(math.atan2(ay - by, ax - bx))
