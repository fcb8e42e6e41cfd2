"""Where a row belongs: a new home, or one that we know, of which only blanks are filled."""

from dataclasses import dataclass, field
from datetime import date, datetime

from customers.importing import Arrival, Record
from customers.importing.people import is_unnamed, same_people, unnamed
from customers.models import Consent, Home, Household, Ownership

CONSENT_FROM_TABLE = "said so in the table that was brought in"


@dataclass(slots=True)
class Standing:
    """One home as it is while a chunk goes in. `new`: which of the objects are not kept yet."""

    home: Home
    household: Household | None = None
    ownership: Ownership | None = None
    consents: list[Consent] = field(default_factory=list)
    has_mail_consent: bool = False
    new: set[str] = field(default_factory=set)
    changed: set[str] = field(default_factory=set)


def known_homes(records: list[Record]) -> dict[str, Standing]:
    """Return the homes among these that we know, by key. Three queries."""
    homes = Home.objects.filter(recognised_by__in={record.key for record in records})
    standings = {home.pk: Standing(home) for home in homes}
    held = Ownership.objects.filter(home__in=standings, until=None).select_related("household")
    for ownership in held:
        standing = standings[ownership.home_id]
        standing.ownership, standing.household = ownership, ownership.household
    people = [each.household_id for each in held]
    said = set(
        Consent.objects.filter(channel="mail", household__in=people).values_list(
            "household", flat=True
        )
    )
    for standing in standings.values():
        standing.has_mail_consent = bool(standing.household and standing.household.pk in said)
    return {standing.home.recognised_by: standing for standing in standings.values()}


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
    return Standing(home, new={"home"})


def stranger(standing: Standing, record: Record) -> str:
    """Return why the row's people are not those of the home, "" where they may be."""
    household = standing.household
    if household is None or not record.name or is_unnamed(household.name):
        return ""
    if same_people(household.name, record.name):
        return ""
    return (
        f"We know {standing.home} as the home of {household.name}; this row says {record.name}."
        " Write the name as we know it if they are the same people. If the home changed hands,"
        " enter its new household on the home's page."
    )


def fill(standing: Standing, arrival: Arrival, at: datetime) -> None:
    """Put what the row says into the blanks of the home and its household."""
    record = arrival.record
    _fill(standing, "home", standing.home, record, ("postal_code", "neighbourhood"))
    if not record.has_household:
        return
    if standing.household is None:
        _add_household(standing, record, at)
    elif record.name and is_unnamed(standing.household.name):
        standing.household.name = record.name
        standing.changed.add("household")
    _fill_household(standing, record)
    _consent(standing, record, at)


def _add_household(standing: Standing, record: Record, at: datetime) -> None:
    household = Household(
        name=record.name or unnamed(standing.home.street), language=record.language or "en"
    )
    standing.household = household
    standing.ownership = Ownership(
        home=standing.home, household=household, since=_since(standing.home, record, at)
    )
    standing.new |= {"household", "ownership"}


def _since(home: Home, record: Record, at: datetime) -> date:
    """Since when the household owned the home, as far as the row shows it."""
    today = at.astimezone(home.tz).date()
    shown = (record.installed_on, record.promised_on)
    return record.since or min((day for day in shown if day), default=today)


def _fill(
    standing: Standing, which: str, kept: object, record: Record, names: tuple[str, ...]
) -> None:
    for name in names:
        said = getattr(record, name)
        if said and not getattr(kept, name):
            setattr(kept, name, said)
            standing.changed.add(which)


def _fill_household(standing: Standing, record: Record) -> None:
    """Fill blanks; what finds no blank is kept as a line of the note, once."""
    household = standing.household
    if household is None:
        return
    over = []
    for phone in filter(None, (record.phone, record.second_phone)):
        if phone in {str(household.phone), str(household.second_phone)}:
            continue
        blank = next(
            (each for each in ("phone", "second_phone") if not getattr(household, each)), ""
        )
        if blank:
            setattr(household, blank, phone)
            standing.changed.add("household")
        else:
            over.append(f"Also: {phone}")
    if record.mail and household.mail and record.mail.lower() != household.mail.lower():
        over.append(f"Also: {record.mail}")
    _fill(standing, "household", household, record, ("mail",))
    known = household.note.splitlines()
    lines = [line for line in [*record.note.splitlines(), *over] if line and line not in known]
    if lines:
        household.note = "\n".join([*known, *lines])
        standing.changed.add("household")


def _consent(standing: Standing, record: Record, at: datetime) -> None:
    """Note a consent only where nothing is known: an old table never overrules a "no"."""
    if record.mail_consent is None or standing.has_mail_consent or standing.household is None:
        return
    standing.consents.append(
        Consent(
            household=standing.household,
            channel="mail",
            given=record.mail_consent,
            how=CONSENT_FROM_TABLE,
            at=at,
        )
    )
    standing.has_mail_consent = True
