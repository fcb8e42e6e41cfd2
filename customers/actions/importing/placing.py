"""Where a row belongs: a new home, or one that we know, of which only blanks are filled."""

from dataclasses import dataclass
from datetime import date, datetime

from customers.actions.importing.households import Acquaintances, People, acquaintances
from customers.actions.importing.resembling import Neighbours, neighbours
from customers.importing import Arrival, Record
from customers.importing.people import is_unnamed, same_people, unnamed
from customers.models import Consent, Home, Household, Ownership

CONSENT_FROM_TABLE = "said so in the table that was brought in"


@dataclass(slots=True)
class Standing:
    """One home as it is while a chunk goes in."""

    home: Home
    people: People | None = None
    ownership: Ownership | None = None  # a new one only
    is_new: bool = False
    is_changed: bool = False


@dataclass(slots=True)
class Places:
    """The homes of a chunk by their keys, and the households that we know."""

    homes: dict[str, Standing]
    households: Acquaintances
    neighbours: Neighbours


def known_places(records: list[Record]) -> Places:
    """Return what we know of these homes and their people. Seven queries."""
    homes = Home.objects.filter(recognised_by__in={record.key for record in records})
    standings = {home.pk: Standing(home) for home in homes}
    held = Ownership.objects.filter(home__in=standings, until=None).select_related("household")
    owners = {each.home_id: each.household for each in held.order_by("-since", "-pk")}
    households = acquaintances(records, owners.values())
    for key, owner in owners.items():
        standings[key].people = households.people(owner)
    return Places(
        {each.home.recognised_by: each for each in standings.values()},
        households,
        neighbours(records),
    )


def new_home(record: Record, zone: str) -> Standing:
    home = Home(
        street=record.street,
        unit=record.unit,
        city=record.city,
        region=record.region,
        postal_code=record.postal_code,
        country=record.country,
        neighbourhood=record.neighbourhood,
        zone=zone,
    )
    home.fold_address()
    return Standing(home, is_new=True)


def stranger(standing: Standing, record: Record) -> str:
    """Return why the row's people are not those of the home, "" where they may be."""
    household = standing.people.household if standing.people else None
    if household is None or not record.name or is_unnamed(household.name):
        return ""
    if same_people(household.name, record.name):
        return ""
    return (
        f"We know {standing.home} as the home of {household.name}; this row says {record.name}."
        " Write the name as we know it if they are the same people. If the home changed hands,"
        " enter its new household on the home's page."
    )


def fill(standing: Standing, arrival: Arrival, households: Acquaintances, at: datetime) -> None:
    """Put what the row says into the blanks of the home and its household."""
    record = arrival.record
    if _fill(standing.home, record, ("postal_code", "neighbourhood")):
        standing.is_changed = True
    if not record.has_household:
        return
    people = standing.people
    if people is None:
        people = households.of(record)
        arrival.joins = people is not None
        people = people or _new_people(standing.home, record)
        _settle(standing, people, _since(standing.home, record, at))
    if record.name and is_unnamed(people.household.name):
        people.household.name = record.name
        people.is_changed = True
    _fill_household(people, record)
    _consent(people, record, at)
    households.meet(people)


def _since(home: Home, record: Record, at: datetime) -> date:
    """Since when the household owned the home, as far as the row shows it."""
    today = at.astimezone(home.tz).date()
    shown = (record.installed_on, record.promised_on)
    return record.since or min((day for day in shown if day), default=today)


def _new_people(home: Home, record: Record) -> People:
    name = record.name or unnamed(home.street)
    return People(Household(name=name, language=record.language or "en"), is_new=True)


def _settle(standing: Standing, people: People, since: date) -> None:
    standing.people = people
    standing.ownership = Ownership(home=standing.home, household=people.household, since=since)


def _fill(kept: Home | Household, record: Record, names: tuple[str, ...]) -> bool:
    """Put what the record says into these blanks; whether there were any."""
    blanks = [name for name in names if getattr(record, name) and not getattr(kept, name)]
    for name in blanks:
        setattr(kept, name, getattr(record, name))
    return bool(blanks)


def _fill_household(people: People, record: Record) -> None:
    """Fill blanks; what finds no blank is kept as a line of the note, once."""
    household = people.household
    over = [f"Also: {phone}" for phone in _fill_phones(people, record)]
    if record.mail and household.mail and record.mail.lower() != household.mail.lower():
        over.append(f"Also: {record.mail}")
    if _fill(household, record, ("mail",)):
        people.is_changed = True
    known = household.note.splitlines()
    lines = [line for line in [*record.note.splitlines(), *over] if line and line not in known]
    if lines:
        household.note = "\n".join([*known, *lines])
        people.is_changed = True


def _fill_phones(people: People, record: Record) -> list[str]:
    """Put new numbers into blanks; return those that find none."""
    over = []
    for phone in filter(None, (record.phone, record.second_phone)):
        kept = {name: str(getattr(people.household, name)) for name in ("phone", "second_phone")}
        if phone in kept.values():
            continue
        if blank := next((name for name, number in kept.items() if not number), ""):
            setattr(people.household, blank, phone)
            people.is_changed = True
        else:
            over.append(phone)
    return over


def _consent(people: People, record: Record, at: datetime) -> None:
    """Note a consent only where nothing is known: an old table never overrules a "no"."""
    if record.mail_consent is None or people.has_mail_consent:
        return
    people.consents.append(
        Consent(
            household=people.household,
            channel="mail",
            given=record.mail_consent,
            how=CONSENT_FROM_TABLE,
            at=at,
        )
    )
    people.has_mail_consent = True
