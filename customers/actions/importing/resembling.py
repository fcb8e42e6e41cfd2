"""Homes that a row without a known home perhaps is about: asked about, never taken for the same."""

from collections import defaultdict
from collections.abc import Iterable

from django.db.models import Prefetch

from customers.actions.importing.households import contacts_of
from customers.folding import fold
from customers.importing import Record
from customers.likeness import Place, looked_up_by, perhaps_same
from customers.models import Home, Household, Ownership

PERHAPS = (
    "Perhaps the same home as {home}. If it is, write the address like that; if it is another one,"
    " write yes under “{answer}”."
)


class Neighbours:
    """Homes by what those like them are looked up by."""

    def __init__(self, homes: Iterable[Home]) -> None:
        self._homes: dict[str, list[tuple[Place, str]]] = defaultdict(list)
        for home in homes:
            held = next(iter(home.ownerships.all()), None)
            self._add(home, held.household if held else None)

    def one_like(self, record: Record) -> str:
        """Return the home that the record's perhaps is, as a person writes it; "" for none."""
        wanted = _place(record, record)
        near = self._homes.get(looked_up_by(record.street), ())
        return next((said for place, said in near if perhaps_same(wanted, place)), "")

    def add(self, home: Home, record: Record) -> None:
        self._add(home, record)

    def _add(self, home: Home, people: Household | Record | None) -> None:
        if home.looked_up_by:
            name = f" ({people.name})" if people and people.name else ""
            self._homes[home.looked_up_by].append((_place(home, people), f"{home}{name}"))


def neighbours(records: Iterable[Record]) -> Neighbours:
    """Return the homes that are looked up by the same as these. Three queries."""
    keys = {looked_up_by(record.street) for record in records} - {""}
    now = Ownership.objects.filter(until=None).order_by("since", "pk").select_related("household")
    homes = Home.objects.filter(looked_up_by__in=keys)
    return Neighbours(homes.prefetch_related(Prefetch("ownerships", now)))


def _place(address: Home | Record, people: Household | Record | None) -> Place:
    known_by = {" ".join(sorted(fold(people.name).split())), *contacts_of(people)} if people else ()
    return Place(
        street=address.street,
        unit=address.unit,
        city=address.city,
        postal_code=address.postal_code,
        known_by=frozenset(known_by) - {""},
    )
