"""What apps above know of a home's ring: what details cost, how its plants grow.

Each app above registers its one source when Django is ready; without one, nothing is known.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from customers.models import Home

COSTS_NOTHING = {"cut back": Decimal(0)}


@dataclass(frozen=True)
class Prices:
    """Of details, by the plan's word: each or by the metre, as customers.plan.features says.

    `by_piece` are those sold by the piece whatever the table says.
    """

    amounts: Mapping[str, Decimal] = field(default_factory=lambda: COSTS_NOTHING)
    by_piece: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Growing:
    """A plant that stands at the home: its contact in the ring, and what is expected of it.

    `opens` says when it is likely to open the ring, `touches` when it will touch, each a sentence.
    An empty `opens_on` is never. `touching` is what was found, not what is expected.
    """

    mark: str
    ref: str
    clearance_mm: float
    opens_on: date | None
    opens: str
    touches: str
    touching: bool = False


PriceSource = Callable[[date], Prices]
GrowthSource = Callable[[Home, date], Sequence[Growing]]
KindSource = Callable[[], Sequence[str]]


class _Sources:
    prices: PriceSource | None = None
    growing: GrowthSource | None = None
    kinds: KindSource | None = None


_sources = _Sources()


def register_prices(source: PriceSource) -> None:
    """Say where the prices in force on a day come from."""
    _sources.prices = source


def register_growing(source: GrowthSource) -> None:
    """Say where the forecasts of a home's plants come from."""
    _sources.growing = source


def register_plant_kinds(source: KindSource) -> None:
    """Say which kinds of plants a growth is known for."""
    _sources.kinds = source


def prices(on: date) -> Prices:
    return _sources.prices(on) if _sources.prices else Prices()


def growing(home: Home, on: date) -> list[Growing]:
    """Return the home's plants, what opens first first. The source's queries."""
    return list(_sources.growing(home, on)) if _sources.growing else []


def plant_kinds() -> list[str]:
    return sorted(_sources.kinds()) if _sources.kinds else []
