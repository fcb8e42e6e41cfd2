"""One chunk of rows written in one go, with as few statements as it takes."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import NamedTuple

from django.conf import settings
from django.db import models, transaction
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from customers import signals
from customers.actions.finding import keep_words_of_all
from customers.actions.importing.households import People
from customers.actions.importing.placing import (
    Places,
    Standing,
    fill,
    known_places,
    new_home,
    stranger,
)
from customers.actions.importing.resembling import PERHAPS
from customers.importing import Arrival, Record, Row, RowReader
from customers.importing.fields import ANOTHER_HOME
from customers.models import Consent, Home, Household, ImportRun, Ownership, RefusedRow
from shared.models import User

HOME_BLANKS = ["postal_code", "neighbourhood"]
HOUSEHOLD_BLANKS = ["name", "phone", "second_phone", "mail", "note"]


class Counts(NamedTuple):
    new: int = 0
    known: int = 0
    refused: int = 0
    joined: int = 0


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
    places = known_places([arrival.record for arrival in arrivals])
    check_arrivals(arrivals, places)
    accepted = [arrival for arrival in arrivals if place(arrival, places, at)]
    refusals += [Refusal(a.number, a.cells, a.reasons) for a in arrivals if a.reasons]
    touched = {arrival.record.key for arrival in accepted}
    standings = [places.homes[key] for key in touched]
    people = _people(standings)
    _save(standings, people, by)
    for arrival in accepted:
        if owners := places.homes[arrival.record.key].people:
            arrival.household = owners.household
    signals.homes_imported.send(ImportRun, arrivals=accepted, at=at, by=by)
    keep_words_of_all(homes=_homes_to_find(standings, people))
    RefusedRow.objects.bulk_create(
        RefusedRow(run=run, number=each.number, cells=each.cells, reasons=each.reasons)
        for each in refusals
    )
    new = sum(arrival.is_new for arrival in accepted)
    joined = sum(arrival.joins for arrival in accepted)
    return Counts(new, len(accepted) - new, len(refusals), joined)


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


def check_arrivals(arrivals: list[Arrival], places: Places) -> None:
    """Add what we and the apps above would refuse to each arrival's reasons. Writes nothing."""
    for arrival in arrivals:
        if standing := places.homes.get(arrival.record.key):
            arrival.home = standing.home
            if reason := stranger(standing, arrival.record):
                arrival.reasons.append(reason)
    signals.rows_checked.send(ImportRun, arrivals=arrivals)


def place(arrival: Arrival, places: Places, at: datetime) -> bool:
    """Give the row its place among the homes of this chunk; False where it is refused.

    Writes nothing.
    """
    if arrival.reasons:
        return False
    record = arrival.record
    standing = places.homes.get(record.key)
    if standing is None:
        if not record.another_home and (other := places.neighbours.one_like(record)):
            arrival.resembles = other
            arrival.reasons.append(PERHAPS.format(home=other, answer=ANOTHER_HOME))
            return False
        standing = places.homes[record.key] = new_home(record, settings.TIME_ZONE)
        places.neighbours.add(standing.home, record)
        arrival.is_new = True
    elif reason := stranger(standing, record):  # known only since a row before this one
        arrival.reasons.append(reason)
        return False
    arrival.home = standing.home
    fill(standing, arrival, places.households, at)
    return True


def _people(standings: list[Standing]) -> list[People]:
    """The households of these homes, each once, in the order in which they came."""
    return list({id(s.people): s.people for s in standings if s.people}.values())


def _homes_to_find(standings: list[Standing], people: list[People]) -> list[Home]:
    """The homes that went in, and the others of households that have changed. One query."""
    homes = {standing.home.pk: standing.home for standing in standings}
    changed = [p.household for p in people if p.is_changed and not p.is_new]
    if changed:
        others = Home.objects.filter(ownerships__household__in=changed, ownerships__until=None)
        homes = {home.pk: home for home in others} | homes
    return list(homes.values())


def _save(standings: list[Standing], people: list[People], by: User | None) -> None:
    def add(model: type[models.Model], rows: list[models.Model]) -> None:
        if rows:
            bulk_create_with_history(rows, model, default_user=by)

    add(Household, [p.household for p in people if p.is_new])
    add(Home, [s.home for s in standings if s.is_new])
    add(Ownership, [s.ownership for s in standings if s.ownership])
    add(Consent, [consent for p in people for consent in p.consents])
    homes = [s.home for s in standings if s.is_changed and not s.is_new]
    if homes:
        bulk_update_with_history(homes, Home, HOME_BLANKS, default_user=by)
    households = [p.household for p in people if p.is_changed and not p.is_new]
    if households:
        bulk_update_with_history(households, Household, HOUSEHOLD_BLANKS, default_user=by)
