"""What can be wrong with a wall walk, each with the place where it is put right.

The bounds are our own choice: a leg from 10 mm to 1,000 ft, a turn of less than half round
(between curved legs the chords may go straight back, as of a tower walked in two halves), a
rise of up to twice the chord (a round tower has 1.2 at three quarters).
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import shapely

from customers.plan.arcs import Side
from customers.plan.legs import (
    MeasuredLeg,
    Number,
    Problem,
    degrees,
    millimetres,
)
from customers.plan.suspects import Kind, Suspect, equals
from shared.wording import gettext_noop

SHORTEST_MM = 10
LONGEST_MM = 304_800
HALF_ROUND_DEG = 180
HIGHEST_RISE = 2  # In chords.
FEWEST_LEGS = 3
FEWEST_CURVED = 2

_NO_NUMBER = gettext_noop("{leg}: this is no number.")
_NO_LENGTH = gettext_noop("{leg} has no length.")
_NEGATIVE = gettext_noop("{leg}: a length cannot be below zero.")
_SHORT = gettext_noop("{leg} is only {length} long. Is the unit right?")
_LONG = gettext_noop("{leg} is {length} long. Is the unit right?")
_BACK = gettext_noop("The turn after {leg} goes straight back: turns are less than 180°.")
_RISE = gettext_noop("{leg} rises {rise}, more than twice its chord.")
_FEW = gettext_noop("A walk round a building has at least three legs, or two where one is curved.")
_CROSS = gettext_noop("{leg} crosses {other}. Is a turn left that should be right?")
_TURNS = gettext_noop("The turns sum to {sum}: they are {excess} off once round.")
_GAP = gettext_noop("The walk ends {gap} from where it began: one part in {precision} of the way.")


def is_number(reading: Number) -> bool:
    """Return whether a reading is a finite number."""
    try:
        return math.isfinite(reading)
    except ValueError:  # A signalling NaN.
        return False


def readings(legs: Sequence[MeasuredLeg]) -> Iterator[Problem]:
    """Yield what is wrong with single readings, in the order of the walk."""
    for index, leg in enumerate(legs):
        fields = {"length_mm": leg.length_mm, "turn_deg": leg.turn_deg, "rise_mm": leg.rise_mm}
        broken = [name for name, reading in fields.items() if not is_number(reading)]
        for name in broken:
            yield Problem("no_number", _NO_NUMBER, index, leg.id, name)
        if broken:
            continue
        chord, turn, rise = map(float, fields.values())
        yield from _length(index, leg.id, chord)
        if abs(turn) >= HALF_ROUND_DEG and not _bows(legs, index):
            yield Problem("turns_back", _BACK, index, leg.id, "turn_deg")
        if chord > 0 and abs(rise) > HIGHEST_RISE * chord:
            values = {"rise": millimetres(rise)}
            yield Problem("absurd_rise", _RISE, index, leg.id, "rise_mm", values)


def _bows(legs: Sequence[MeasuredLeg], index: int) -> bool:
    """Return whether a leg or the next is curved, so that even a turn straight back is sound."""
    return any(leg.rise_mm for leg in (legs[index], legs[(index + 1) % len(legs)]))


def _length(index: int, leg_id: str, chord: float) -> Iterator[Problem]:
    if chord == 0:
        yield Problem("no_length", _NO_LENGTH, index, leg_id, "length_mm")
    elif chord < 0:
        yield Problem("negative_length", _NEGATIVE, index, leg_id, "length_mm")
    elif chord < SHORTEST_MM:
        values = {"length": millimetres(chord)}
        yield Problem("absurd_length", _SHORT, index, leg_id, "length_mm", values)
    elif chord > LONGEST_MM:
        values = {"length": millimetres(chord)}
        yield Problem("absurd_length", _LONG, index, leg_id, "length_mm", values)


def count(rises: Sequence[float]) -> Iterator[Problem]:
    if len(rises) < (FEWEST_CURVED if any(rises) else FEWEST_LEGS):
        yield Problem("too_few_legs", _FEW)


def crossing(pairs: Sequence[tuple[int, int]], ids: Sequence[str]) -> Iterator[Problem]:
    for first, second in pairs:
        values = {"other": (first, ids[first])}
        yield Problem("crosses_itself", _CROSS, second, ids[second], "turn_deg", values)


def turns(
    turned: float, excess: float, allowed: float, suspects: Sequence[Suspect]
) -> Iterator[Problem]:
    """Yield the sum of the turns where it is off, at the turn that would explain it."""
    if abs(excess) > allowed:
        values = {"sum": degrees(turned), "excess": degrees(abs(excess))}
        yield _at_suspect(Problem("turns_sum", _TURNS, values=values), "turn", suspects)


def gap(
    gap_mm: float, precision: float, allowed: float, suspects: Sequence[Suspect]
) -> Iterator[Problem]:
    """Yield the gap where it is too large, at the length that would explain it."""
    if gap_mm > allowed:
        values = {"gap": millimetres(gap_mm), "precision": f"{precision:,.0f}"}
        yield _at_suspect(Problem("gap", _GAP, values=values), "length", suspects)


def _at_suspect(problem: Problem, kind: Kind, suspects: Sequence[Suspect]) -> Problem:
    """Return the problem at the reading that explains it, where there is just one such."""
    match equals(suspects):
        case [only] if only.kind == kind:
            return replace(problem, leg=only.leg, leg_id=only.leg_id, field=only.field)
    return problem


def crossings(sides: Sequence[Side]) -> tuple[tuple[int, int], ...]:
    """Return the pairs of sides, the earlier first, that meet away from their common corner."""
    long = [index for index, side in enumerate(sides) if side.start != side.end]
    outline = [point for index in long for point in sides[index].points()]
    if len(outline) < FEWEST_LEGS or shapely.LinearRing(outline).is_simple:
        return ()
    lines = [shapely.LineString([*sides[index].points(), sides[index].end]) for index in long]
    pairs = shapely.STRtree(lines).query(lines, predicate="intersects").T.tolist()
    met = sorted((a, b) for a, b in pairs if a < b and _beyond_corners(a, b, lines))
    return tuple((long[a], long[b]) for a, b in met)


def _beyond_corners(a: int, b: int, lines: Sequence[shapely.LineString]) -> bool:
    """Return whether two sides meet at more than the corners that the walk gives them."""
    corners = (b - a == 1) + (b - a == len(lines) - 1)
    meeting = shapely.intersection(lines[a], lines[b])
    return bool(meeting.length) or shapely.get_num_geometries(meeting) > corners
