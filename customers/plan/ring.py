"""The ring check: can anything crawl from the ground to the building?

Surfaces are joined by contacts. A contact is barred while a sound detail stands in it, clear while
its clearance is above zero, and open otherwise; one whose state is unknown counts as open. The
ring is closed when no path of open contacts leads from the ground to the building. The cheapest
set of details that closes it is a minimum cut: every open contact costs what the cheapest detail
that may bar it costs, and a contact that nothing can bar joins its two surfaces for good.

Definitions: Ringkeep's own. Minimum cut: Ford and Fulkerson, Canad. J. Math. 8 (1956) 399.
"""

import math
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from functools import cached_property

from customers.plan.ways import shortest_first
from shared.wording import Translate, gettext_noop

GROUND = gettext_noop("ground")
BUILDING = gettext_noop("building")
AT = gettext_noop("{surface} at {place}")
NOT_KNOWN = gettext_noop("{step} (not known)")
STATES = ("sound", "damaged", "unknown")
LISTED = 50

Number = Decimal | int | float
Clearance = Number | Callable[[date], Number]
Forbidden = Collection[str | tuple[str, str, str]]


@dataclass(frozen=True)
class Contact:
    """A place where two surfaces touch or could touch.

    state is the detail's. options are the details that could bar it, each with its cost.
    clearance_mm may be a function of the day. opens_on is the day from which it is open by
    forecast or announcement: before that day it is not open unless its state already makes it so.
    place tells contacts between the same two surfaces apart ("leg 3"); ref is the caller's own
    name for it; reason says why nothing can bar it.
    """

    a: str
    b: str
    detail: str | None = None
    state: str = "sound"
    clearance_mm: Clearance = 0
    options: Sequence[tuple[str, Number]] = ()
    place: str = ""
    ref: str = ""
    opens_on: date | None = None
    reason: str = ""

    def __post_init__(self) -> None:
        if self.state not in STATES:
            raise ValueError(f"{self.words}: the state {self.state!r} is none of {STATES}.")
        for detail, cost in self.options:
            if not (math.isfinite(cost) and cost >= 0):
                raise ValueError(f"{self.words}: the cost of {detail} is {cost}.")
        object.__setattr__(self, "options", tuple(self.options))

    @property
    def words(self) -> str:
        return f"{self.a} > {self.b}" + (f" at {self.place}" if self.place else "")

    def status(self, on: date | None = None) -> str:
        """Return "barred", "clear", "open" or "unknown" on the day.

        Without a day the record counts as it stands, before anything that is dated happens.
        Raises ValueError where the clearance depends on the day and none is given.
        """
        if self.state == "unknown":
            return "unknown"
        if on and self.opens_on and on >= self.opens_on:
            return "open"
        if self.detail and self.state == "sound":
            return "barred"
        if self.opens_on and self.state == "sound":
            return "clear"
        return "clear" if self._clearance(on) > 0 else "open"

    def _clearance(self, on: date | None) -> float:
        if not callable(self.clearance_mm):
            return float(self.clearance_mm)
        if on is None:
            raise ValueError(f"{self.words}: its clearance changes, so a day must be named.")
        return float(self.clearance_mm(on))

    def cheapest(self, forbidden: Forbidden = ()) -> tuple[str, Decimal] | None:
        """Return the cheapest detail that may bar it, and its cost; None where there is none."""
        allowed = (
            (detail, cost if isinstance(cost, Decimal) else Decimal(str(cost)))
            for detail, cost in self.options
            if not forbidden
            or not {detail, (self.a, self.b, detail), (self.b, self.a, detail)} & set(forbidden)
        )
        return min(allowed, key=lambda option: (option[1], option[0]), default=None)


@dataclass(frozen=True)
class WayIn:
    """One path from the ground to the building: its surfaces, and a contact for each step."""

    surfaces: tuple[str, ...]
    contacts: tuple[Contact, ...]

    @property
    def unknown(self) -> tuple[Contact, ...]:
        """The steps that may be barred, but are not known to be."""
        return tuple(contact for contact in self.contacts if contact.state == "unknown")

    @property
    def words(self) -> str:
        return self.said()

    def said(self, translate: Translate = str) -> str:
        """Return the way in the reader's language; names stay as the plan has them."""
        return " > ".join(
            [
                _surface(self.surfaces[0], translate),
                *(
                    _stepped(surface, contact, translate)
                    for surface, contact in zip(self.surfaces[1:], self.contacts, strict=True)
                ),
            ]
        )

    def __str__(self) -> str:
        return self.words


def _surface(surface: str, translate: Translate) -> str:
    return translate(surface) if surface in (GROUND, BUILDING) else surface


def _stepped(surface: str, contact: Contact, translate: Translate) -> str:
    said = _surface(surface, translate)
    if contact.place:
        said = translate(AT).format(surface=said, place=contact.place)
    return translate(NOT_KNOWN).format(step=said) if contact.state == "unknown" else said


@dataclass(frozen=True)
class Proposed:
    """A detail to fit in a contact that is open."""

    contact: Contact
    detail: str
    cost: Decimal


@dataclass(frozen=True)
class Closing:
    details: tuple[Proposed, ...]

    @property
    def cost(self) -> Decimal:
        return sum((each.cost for each in self.details), Decimal(0))


@dataclass(frozen=True)
class RingCheck:
    """The answer. more counts the ways beyond those listed: exactly where more_is_exact, else it
    is the least that there are. unknown are the contacts that count as open for want of knowing.
    """

    closed: bool
    ways_in: tuple[WayIn, ...]
    more: int
    more_is_exact: bool
    unknown: tuple[Contact, ...]
    problems: tuple[str, ...]
    open_contacts: tuple[Contact, ...]
    forbidden: Forbidden

    @cached_property
    def state(self) -> str:
        """Return "closed", "open", "unknown" (open only where nobody knows), or "unsound" plan."""
        if self.problems:
            return "unsound"
        if self.closed:
            return "closed"
        known = (contact for contact in self.open_contacts if contact.state != "unknown")
        return "open" if _joined(known) else "unknown"

    @cached_property
    def cheapest_closing(self) -> Closing | None:
        """The cheapest details that close the ring, the fewest where several cost the same.

        None when nothing can close it: stands_in_the_way, or problems, says why.
        """
        if self.problems:
            return None
        return _cheapest_closing(self.open_contacts, self.forbidden)

    @cached_property
    def stands_in_the_way(self) -> tuple[WayIn, ...]:
        """The ways in on which nothing can be barred, shortest first; none where it can close."""
        return _ways_in(
            [each for each in self.open_contacts if each.cheapest(self.forbidden) is None]
        )[0]


def check_ring(
    contacts: Iterable[Contact],
    *,
    on: date | None = None,
    forbidden: Forbidden = (),
    problems: Iterable[str] = (),
) -> RingCheck:
    """Return whether the ring is closed on the day, every way in, and how to close it.

    forbidden holds details, or (surface, surface, detail), that may not be proposed. problems are
    what is wrong with the plan that the contacts came from: with any, the ring is never closed.
    """
    contacts = list(contacts)
    wrong = (*problems, *_missing_ends(contacts))
    statuses = [contact.status(on) for contact in contacts]
    passable = [
        contact
        for contact, status in zip(contacts, statuses, strict=True)
        if status in ("open", "unknown")
    ]
    ways, more, exact = _ways_in(passable)
    return RingCheck(
        closed=not ways and not wrong,
        ways_in=ways,
        more=more,
        more_is_exact=exact,
        unknown=tuple(contact for contact in passable if contact.state == "unknown"),
        problems=wrong,
        open_contacts=tuple(passable),
        forbidden=frozenset(forbidden),
    )


def opens_on(contacts: Iterable[Contact], start: date, until: date) -> date | None:
    """Return the first day from start to until (both included) on which the ring is not closed.

    The ring is looked at again only on days on which another contact opens or closes.
    """
    contacts = list(contacts)
    if _missing_ends(contacts):
        return start
    before: list[bool] | None = None
    for day in _days_to_ask(contacts, start, until):
        passable = [contact.status(day) in ("open", "unknown") for contact in contacts]
        if passable != before and _joined(
            contact for contact, is_open in zip(contacts, passable, strict=True) if is_open
        ):
            return day
        before = passable
    return None


def _missing_ends(contacts: Sequence[Contact]) -> tuple[str, ...]:
    met = {surface for contact in contacts for surface in (contact.a, contact.b)}
    return tuple(f"No contact meets the {end}." for end in (GROUND, BUILDING) if end not in met)


def _days_to_ask(contacts: Sequence[Contact], start: date, until: date) -> Iterator[date]:
    if any(callable(contact.clearance_mm) for contact in contacts):
        yield from (start + timedelta(days) for days in range((until - start).days + 1))
        return
    dated = {contact.opens_on for contact in contacts if contact.opens_on}
    yield from sorted(day for day in {start, *dated} if start <= day <= until)


class _Merged:
    """Surfaces that count as one (union by find, path halving)."""

    def __init__(self, joins: Iterable[Contact]) -> None:
        self.parent: dict[str, str] = {}
        for contact in joins:
            self.parent[self.name(contact.a)] = self.name(contact.b)

    def name(self, surface: str) -> str:
        parent = self.parent
        while (above := parent.setdefault(surface, surface)) != surface:
            parent[surface] = parent[above]
            surface = above
        return surface


def _joined(passable: Iterable[Contact]) -> bool:
    merged = _Merged(passable)
    return merged.name(GROUND) == merged.name(BUILDING)


def _ways_in(passable: Iterable[Contact]) -> tuple[tuple[WayIn, ...], int, bool]:
    """Return the ways in, how many more there are, and whether that number is exact.

    Contacts between the same surfaces at the same place are one step; one known to be open
    speaks for those that are unknown.
    """
    steps: dict[str, dict[tuple[str, str], Contact]] = {}
    for contact in passable:
        for here, there in ((contact.a, contact.b), (contact.b, contact.a)):
            spoken = steps.setdefault(here, {}).setdefault((there, contact.place), contact)
            if spoken.state == "unknown" != contact.state:
                steps[here][there, contact.place] = contact
    found = shortest_first(steps, GROUND, BUILDING, LISTED)
    ways = []
    for path in found.paths:
        surfaces = (GROUND, *(surface for surface, _ in path))
        met = tuple(steps[here][step] for here, step in zip(surfaces, path, strict=False))
        ways.append(WayIn(surfaces, met))
    ways.sort(key=lambda way: (len(way.contacts), way.words))
    return tuple(ways), found.more, found.exact


def _cheapest_closing(passable: Sequence[Contact], forbidden: Forbidden) -> Closing | None:
    options = [contact.cheapest(forbidden) for contact in passable]
    merged = _Merged(
        contact for contact, option in zip(passable, options, strict=True) if option is None
    )
    if merged.name(GROUND) == merged.name(BUILDING):
        return None
    # Whatever nothing can bar joins two surfaces for good; what is left has a price.
    proposals = [
        (merged.name(contact.a), merged.name(contact.b), Proposed(contact, *option))
        for contact, option in zip(passable, options, strict=True)
        if option is not None
    ]
    near = _near_side(proposals, merged.name(GROUND), merged.name(BUILDING))
    return Closing(tuple(each for a, b, each in proposals if (a in near) != (b in near)))


def _near_side(
    proposals: Sequence[tuple[str, str, Proposed]], ground: str, building: str
) -> set[str]:
    """Return the surfaces on the ground's side of the cheapest cut with the fewest details."""
    costs = [each.cost.as_integer_ratio() for _, _, each in proposals]
    whole = math.lcm(*{parts for _, parts in costs})
    # One unit a detail, too small to outweigh any difference of cost, prefers fewer of them.
    finer = len(proposals) + 1
    numbers: dict[str, int] = {ground: 0, building: 1}
    edges: dict[tuple[int, int], int] = {}
    for (a, b, _), (cost, parts) in zip(proposals, costs, strict=True):
        first, second = sorted(
            (numbers.setdefault(a, len(numbers)), numbers.setdefault(b, len(numbers)))
        )
        if first != second:
            unit = cost * (whole // parts) * finer + 1
            edges[first, second] = edges.get((first, second), 0) + unit
    # scipy's graphs take a tenth of a second: only who asks for the cheapest closing waits.
    from customers.plan.cut import minimum_cut  # noqa: PLC0415

    cut = minimum_cut(len(numbers), [(*ends, cost) for ends, cost in edges.items()], 0, 1)
    return {surface for surface, number in numbers.items() if number in cut.near}
