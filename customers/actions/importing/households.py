"""The households that a chunk is about: known ones by name and contact, each one object only."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from django.db.models import Q
from django.db.models.functions import Lower

from customers.importing import Record
from customers.importing.people import name_words
from customers.models import Consent, Household

MOST = 5_000  # households looked at for one chunk; a number that more of them have is nobody's own


@dataclass(slots=True)
class People:
    """One household as it is while a chunk goes in, for all of its homes."""

    household: Household
    is_new: bool = False
    is_changed: bool = False
    has_mail_consent: bool = False
    consents: list[Consent] = field(default_factory=list)


class Acquaintances:
    """Households by their name together with a telephone number or mail address of theirs."""

    def __init__(self) -> None:
        self._known: dict[int, People] = {}
        self._met: dict[tuple[frozenset[str], str], People] = {}

    def of(self, record: Record) -> People | None:
        """Return the household of the same name with a number or address of the row's, if any."""
        name = name_words(record.name)
        met = (self._met.get((name, contact)) for contact in contacts_of(record))
        return next((people for people in met if people), None)

    def people(self, household: Household) -> People:
        """Return a kept household as the one object that stands for it."""
        return self._known.setdefault(household.pk, People(household))

    def meet(self, people: People) -> None:
        """Know this household again from now on. Of two that are alike the first stays."""
        if name := name_words(people.household.name):
            for contact in contacts_of(people.household):
                self._met.setdefault((name, contact), people)

    def note_consents(self) -> None:
        """Find out which kept households have said whether they want mails. One query."""
        said = Consent.objects.filter(channel="mail", household__in=self._known)
        for key in said.values_list("household", flat=True):
            self._known[key].has_mail_consent = True


def contacts_of(somebody: Household | Record) -> list[str]:
    phones = (str(somebody.phone), str(somebody.second_phone))
    return [each for each in (*phones, somebody.mail.lower()) if each]


def acquaintances(records: Iterable[Record], owners: Iterable[Household]) -> Acquaintances:
    """Return the owners, and who else may be meant by these records. Two queries."""
    contacts = {each for record in records if record.name for each in contacts_of(record)}
    phones = {each for each in contacts if "@" not in each}
    met = Household.objects.alias(lower_mail=Lower("mail")).filter(
        Q(phone__in=phones) | Q(second_phone__in=phones) | Q(lower_mail__in=contacts - phones)
    )
    found = Acquaintances()
    for owner in owners:
        found.people(owner)
    for household in met.order_by("pk")[:MOST] if contacts else []:
        found.meet(found.people(household))
    found.note_consents()
    return found
