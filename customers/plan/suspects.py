"""Which single reading, if it were wrong, would explain a wall walk that does not close.

Changing the length of one leg moves the end of the walk along that leg, so the gap can be closed
only as far as it lies in the leg's direction. Changing one turn swings all that follows about
its corner, and changes the sum of the turns by as much. (The search for a blunder by the bearing
of the misclosure, as in any handbook of surveying.) Each change is judged by what it leaves: the
gap in parts of the allowed gap, and the error of the sum of turns in parts of the allowed error.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from customers.plan.arcs import Point
from customers.plan.legs import degrees, leg_name, millimetres
from shared.length import System, length_text
from shared.wording import Translate, gettext_noop

Kind = Literal["length", "turn"]

TIED = 0.1  # Scores as near as this are told apart by no measurement.
LEAST_MM = 1.0  # Changes below these are none.
LEAST_DEG = 0.05
HALF_TURN = 180
NAMED = 4  # suspects that a sentence names


@dataclass(frozen=True)
class Suspect:
    """One reading that may be wrong, and what it would be.

    `change` is what has to be added to it, mm or degrees; `gap_mm` and `excess_deg` are what
    the walk would still be off; below a score of 1 that is within what is allowed.
    """

    leg: int
    leg_id: str
    kind: Kind
    reading: float
    change: float
    gap_mm: float
    excess_deg: float
    score: float

    @property
    def field(self) -> str:
        return "length_mm" if self.kind == "length" else "turn_deg"

    @property
    def explains(self) -> bool:
        return self.score <= 1

    def said(self, system: System = "imperial", translate: Translate = str) -> str:
        """Return it as a sentence without its full stop: leg 7 looks 2' 0" short."""
        name = leg_name(self.leg, self.leg_id, translate)
        if self.kind == "length":
            text = _SHORT if self.change > 0 else _LONG
            by = length_text(millimetres(self.change), system)
            return translate(text).format(leg=name, by=by)
        now = turn_words(self.reading, translate)
        better = turn_words(self.reading + self.change, translate)
        return translate(_TURN).format(leg=name, now=now, better=better)


_SHORT = gettext_noop("{leg} looks {by} short")
_LONG = gettext_noop("{leg} looks {by} long")
_TURN = gettext_noop("the turn after {leg} looks like {better}, not {now}")
_LEFT = gettext_noop("{angle} left")
_RIGHT = gettext_noop("{angle} right")
_STRAIGHT = gettext_noop("straight on")


def turn_words(turn: float, translate: Translate = str) -> str:
    if abs(turn) < LEAST_DEG:
        return translate(_STRAIGHT)
    return translate(_LEFT if turn > 0 else _RIGHT).format(angle=degrees(abs(turn)))


@dataclass(frozen=True)
class OpenWalk:
    """A walk as it was measured: its corners from the start to where it ended, and its turns."""

    ids: Sequence[str]
    corners: Sequence[Point]
    turns: Sequence[float]
    allowed_gap_mm: float
    allowed_excess_deg: float

    def judged(self, leg: int, kind: Kind, change: float, end: Point) -> Suspect:
        """Return the suspect for a change that would bring the end of the walk to `end`."""
        gap = math.hypot(*end)
        turned = change if kind == "turn" else 0.0
        excess = turn_excess(sum(self.turns) + turned)
        score = math.hypot(gap / self.allowed_gap_mm, excess / self.allowed_excess_deg)
        length = math.dist(self.corners[leg], self.corners[leg + 1])
        reading = length if kind == "length" else self.turns[leg]
        return Suspect(leg, self.ids[leg], kind, reading, change, gap, excess, score)


def turn_excess(turned: float) -> float:
    """Return by how much a sum of turns differs from once round, left or right, the nearer."""
    return turned - math.copysign(360, turned)


def suspects(walk: OpenWalk) -> tuple[Suspect, ...]:
    """Return the readings that would close the walk, the best first, at most one a reading.

    Those that cannot be told apart stand in order of how small a part of the reading they change.
    """
    best: dict[tuple[int, Kind], Suspect] = {}
    for each in (*_lengths(walk), *_turns(walk)):
        known = best.get((each.leg, each.kind))
        if known is None or each.score < known.score:
            best[each.leg, each.kind] = each
    ranked = sorted(best.values(), key=lambda suspect: suspect.score)
    tied = [each for each in ranked if each.score <= ranked[0].score + TIED]
    tied.sort(key=lambda each: abs(each.change / each.reading) if each.reading else math.inf)
    return (*tied, *ranked[len(tied) :])


def equals(found: Sequence[Suspect]) -> list[Suspect]:
    """Return the suspects that explain the walk and cannot be told apart; none if none does."""
    return [each for each in found if each.explains and each.score <= found[0].score + TIED]


def diagnosis(
    found: Sequence[Suspect], system: System = "imperial", translate: Translate = str
) -> str:
    """Return in words which reading to look at again; empty where none is suspected."""
    if not found:
        return ""
    if not found[0].explains:
        text = translate(_UNEXPLAINED)
        return text.format(best=found[0].said(system, translate))
    tied = equals(found)
    said = translate(_OR).join(each.said(system, translate) for each in tied[:NAMED])
    left = len(tied) - NAMED
    more = translate(_MORE).format(count=left) if left > 0 else ""
    return f"{said[:1].upper()}{said[1:]}{more}."


_OR = gettext_noop(", or ")
_MORE = gettext_noop(", or one of {count} more")
_UNEXPLAINED = gettext_noop(
    "No single length or turn explains the gap: measure again. The nearest guess is that {best}."
)


def _lengths(walk: OpenWalk) -> Iterator[Suspect]:
    end_x, end_y = walk.corners[-1]
    for leg, (start, stop) in enumerate(zip(walk.corners, walk.corners[1:], strict=False)):
        length = math.dist(start, stop)
        if not length:
            continue
        x, y = (stop[0] - start[0]) / length, (stop[1] - start[1]) / length
        change = -(end_x * x + end_y * y)
        if abs(change) >= LEAST_MM and length + change > LEAST_MM:
            yield walk.judged(leg, "length", change, (end_x + change * x, end_y + change * y))


def _turns(walk: OpenWalk) -> Iterator[Suspect]:
    (end_x, end_y), turned = walk.corners[-1], sum(walk.turns)
    for leg, (x, y) in enumerate(walk.corners[1:]):
        to_end = math.atan2(end_y - y, end_x - x)
        to_start = math.atan2(-y, -x)
        closing = math.degrees(math.remainder(to_start - to_end, math.tau))
        for change in (360 - turned, -360 - turned, closing):
            turn = walk.turns[leg] + change
            if abs(change) < LEAST_DEG or abs(turn) >= HALF_TURN:
                continue
            swing = math.radians(change)
            cos, sin = math.cos(swing), math.sin(swing)
            dx, dy = end_x - x, end_y - y
            end = (x + dx * cos - dy * sin, y + dx * sin + dy * cos)
            yield walk.judged(leg, "turn", change, end)
