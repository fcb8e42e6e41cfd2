"""What a table would do, told before anything is kept."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from pathlib import Path
from typing import NamedTuple

from customers.actions.importing.placing import Places, known_places
from customers.actions.importing.running import rules_of
from customers.actions.importing.writing import check_arrivals, place, read_chunk
from customers.importing import Arrival, Record, RowReader, read_table
from customers.models import ImportRun

LOOKED_AT = 2_000  # rows: a page must not take longer than a moment
SHOWN = 10


class Previewed(NamedTuple):
    """A row as it would go in: its record or its reasons; whether we know its home."""

    number: int
    record: Record | None
    reasons: list[str]
    known: bool

    @property
    def household_lines(self) -> list[str]:
        """What the row says of the household, a line each."""
        if self.record is None:
            return []
        said = self.record
        lines = [said.name, said.phone, said.second_phone, said.mail, *said.note.splitlines()]
        if said.mail_consent is not None:
            lines.append("wants mails" if said.mail_consent else "wants no mails")
        return [line for line in lines if line]


class Several(NamedTuple):
    """A household that has, or gets, more than one home."""

    name: str
    streets: list[str]
    was_known: bool


@dataclass(frozen=True, slots=True)
class Preview:
    """The first rows, and what became of all that were looked at: `is_whole` where no more are."""

    rows: list[Previewed]
    looked_at: int
    is_whole: bool
    new: int
    known: int
    refused: int
    several: list[Several]
    perhaps_same: list[Arrival]


def preview(
    *, run: ImportRun, at: datetime, rows: int = SHOWN, looked_at: int = LOOKED_AT
) -> Preview:
    """Return what the first rows would do. Writes nothing."""
    table = read_table(Path(run.file.path))
    reader = RowReader(table.headings, rules_of(run, at))
    read = list(islice(table.rows, looked_at + 1))
    arrivals, refusals = read_chunk(read[:looked_at], reader)
    places = known_places([arrival.record for arrival in arrivals])
    known = set(places.homes)
    check_arrivals(arrivals, places)
    accepted = [arrival for arrival in arrivals if place(arrival, places, at)]
    seen = [Previewed(each.number, None, each.reasons, known=False) for each in refusals]
    seen += [Previewed(a.number, a.record, a.reasons, a.record.key in known) for a in arrivals]
    new = sum(arrival.is_new for arrival in accepted)
    return Preview(
        rows=sorted(seen, key=lambda each: each.number)[:rows],
        looked_at=min(len(read), looked_at),
        is_whole=len(read) <= looked_at,
        new=new,
        known=len(accepted) - new,
        refused=len(seen) - len(accepted),
        several=_several(accepted, places),
        perhaps_same=[arrival for arrival in arrivals if arrival.resembles],
    )


def _several(accepted: Iterable[Arrival], places: Places) -> list[Several]:
    """The households to which a further home comes, in the order of the table."""
    joined = {id(places.homes[a.record.key].people) for a in accepted if a.joins}
    streets: dict[int, list[str]] = defaultdict(list)
    found = {}
    for standing in places.homes.values():
        if standing.people and id(standing.people) in joined:
            streets[id(standing.people)].append(standing.home.street)
            found[id(standing.people)] = standing.people
    return [
        Several(people.household.name, streets[key], not people.is_new)
        for key, people in found.items()
    ]
