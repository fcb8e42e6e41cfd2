"""Addresses and numbers that do not work: of which households, since when, what goes on how."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any, NamedTuple

from django.db.models import Exists, F, OuterRef, Prefetch, Q, QuerySet

from customers.models import Home, Household, Ownership
from warranties import bounces
from warranties.notices.inserting import channel_of

MAIL = ~Q(mail="") & Q(mail=F("mail_failed"))
TEXT = ~Q(phone="") & Q(phone=F("text_failed"))
INSTEAD = {
    "mail": "Notices go by mail.",
    "text": "Notices go as texts.",
    "letter": "Notices go by letter.",
    "call": "They are called.",
    None: "Nothing reaches them.",
}
HEADINGS = ("Household", "Home", "Telephone", "Channel", "Address", "Since", "Why", "Meanwhile")


class Failed(NamedTuple):
    """One address that does not work. `since` is None where it was found before we kept days."""

    household: Household
    home: Home | None
    channel: str
    address: str
    since: datetime | None
    why: str
    said: str
    instead: str


def unreachable() -> QuerySet[Any]:
    """The households with such an address that hold a home, by name, with `use`.

    Two queries, with their homes.
    """
    held = Ownership.objects.filter(household=OuterRef("pk"), until=None)
    current = Ownership.objects.filter(until=None).select_related("home").order_by("since", "pk")
    return (
        Household.objects.filter(MAIL | TEXT, Exists(held))
        .annotate(use=channel_of())
        .prefetch_related(Prefetch("ownerships", current, to_attr="holds"))
        .order_by("name", "pk")
    )


def failed_of(household: Any) -> list[Failed]:
    """The addresses of a household of `unreachable` that do not work."""
    home = household.holds[0].home if household.holds else None
    instead = INSTEAD[household.use]
    found = []
    if household.mail and not household.mail_works:
        said, since = household.mail_failed_said, household.mail_failed_at
        why = bounces.in_plain_words(said)
        found.append(Failed(household, home, "mail", household.mail, since, why, said, instead))
    if household.phone and not household.gets_texts:
        said, since = household.text_failed_said, household.text_failed_at
        number = household.phone.as_national
        why = "The number gets no texts: a landline, or it was given up."
        found.append(Failed(household, home, "text", number, since, why, said, instead))
    return found


def export_rows(households: Iterable[Any]) -> Iterator[Sequence[object]]:
    for household in households:
        for each in failed_of(household):
            telephone = household.phone.as_national if household.phone else ""
            since = each.since.astimezone(each.home.tz).date() if each.since and each.home else None
            yield (
                str(household),
                str(each.home or ""),
                telephone,
                each.channel,
                each.address,
                since,
                each.said or each.why,
                each.instead,
            )
