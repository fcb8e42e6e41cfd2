"""One chunk of rows written in one go, with as few statements as it takes."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import NamedTuple

from django.conf import settings
from django.db import models, transaction
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from customers import signals
from customers.actions.finding import keep_words_of_all
from customers.actions.importing.placing import Standing, fill, known_homes, new_home, stranger
from customers.importing import Arrival, Record, Row, RowReader
from customers.models import Consent, Home, Household, ImportRun, Ownership, RefusedRow
from shared.models import User

HOME_BLANKS = ["postal_code", "neighbourhood"]
HOUSEHOLD_BLANKS = ["name", "phone", "second_phone", "mail", "note"]


class Counts(NamedTuple):
    new: int = 0
    known: int = 0
    refused: int = 0


class Refusal(NamedTuple):
    number: int
    cells: list[str]
    reasons: list[str]


@transaction.atomic
def write_chunk(
    *, rows: Sequence[Row], reader: RowReader, run: ImportRun, at: datetime, by: User | None
) -> Counts:
    """Write the rows that can be, keep the others with their reasons, count both."""
    arrivals, refusals = read_chunk(rows, reader)
    known = known_homes([arrival.record for arrival in arrivals])
    check_arrivals(arrivals, known)
    accepted = [arrival for arrival in arrivals if _placed(arrival, known, at)]
    refusals += [Refusal(a.number, a.cells, a.reasons) for a in arrivals if a.reasons]
    touched = {arrival.record.key for arrival in accepted}
    standings = [known[key] for key in touched]
    _save(standings, by)
    for arrival in accepted:
        arrival.household = known[arrival.record.key].household
    signals.homes_imported.send(ImportRun, arrivals=accepted, at=at, by=by)
    keep_words_of_all(homes=[standing.home for standing in standings])
    RefusedRow.objects.bulk_create(
        RefusedRow(run=run, number=each.number, cells=each.cells, reasons=each.reasons)
        for each in refusals
    )
    new = sum(arrival.is_new for arrival in accepted)
    return Counts(new, len(accepted) - new, len(refusals))


def read_chunk(rows: Iterable[Row], reader: RowReader) -> tuple[list[Arrival], list[Refusal]]:
    """Return the rows that can be read, and the others with every reason."""
    arrivals: list[Arrival] = []
    refusals: list[Refusal] = []
    for row in rows:
        read = reader.read(row)
        if isinstance(read, Record):
            arrivals.append(Arrival(row.number, row.cells, read))
        else:
            refusals.append(Refusal(row.number, row.cells, read))
    return arrivals, refusals


def check_arrivals(arrivals: list[Arrival], known: dict[str, Standing]) -> None:
    """Add what we and the apps above would refuse to each arrival's reasons. Writes nothing."""
    for arrival in arrivals:
        if standing := known.get(arrival.record.key):
            arrival.home = standing.home
            if reason := stranger(standing, arrival.record):
                arrival.reasons.append(reason)
    signals.rows_checked.send(ImportRun, arrivals=arrivals)


def _placed(arrival: Arrival, known: dict[str, Standing], at: datetime) -> bool:
    """Give the row its place among the homes of this chunk; False where it is refused."""
    if arrival.reasons:
        return False
    record = arrival.record
    standing = known.get(record.key)
    if standing is None:
        standing = known[record.key] = new_home(record, settings.TIME_ZONE)
        arrival.is_new = True
    elif reason := stranger(standing, record):  # known only since a row before this one
        arrival.reasons.append(reason)
        return False
    arrival.home = standing.home
    fill(standing, arrival, at)
    return True


def _save(standings: list[Standing], by: User | None) -> None:
    def add(model: type[models.Model], rows: list[models.Model]) -> None:
        if rows:
            bulk_create_with_history(rows, model, default_user=by)

    add(Household, [s.household for s in standings if s.household and "household" in s.new])
    add(Home, [s.home for s in standings if "home" in s.new])
    add(Ownership, [s.ownership for s in standings if s.ownership and "ownership" in s.new])
    add(Consent, [consent for s in standings for consent in s.consents])
    changed = [s for s in standings if s.changed]
    homes = [s.home for s in changed if "home" in s.changed - s.new]
    if homes:
        bulk_update_with_history(homes, Home, HOME_BLANKS, default_user=by)
    people = [s.household for s in changed if s.household and "household" in s.changed - s.new]
    if people:
        bulk_update_with_history(people, Household, HOUSEHOLD_BLANKS, default_user=by)
