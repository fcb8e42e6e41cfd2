"""Households and homes: entered, changed, handed from one owner to the next."""

from datetime import date, datetime

from django.db import IntegrityError, transaction
from django.db.models import Q

from customers import signals
from customers.actions.consenting import Said, record_consents
from customers.actions.finding import keep_words
from customers.models import Home, Household, Ownership
from shared.refusals import Refused


class HomeKnown(Refused):
    """We know a home at that address already: `home`. The message is fit to show a person."""

    def __init__(self, home: Home) -> None:
        super().__init__(f"We know {home} already: home {home.pk}.")
        self.home = home


class NotChangeable(Refused):
    """The change does not fit what we know. The message is fit to show a person."""


@transaction.atomic
def open_home(*, household: Household, home: Home, said: Said, at: datetime) -> Home:
    """Enter a home, its household and what channels they let us use, all or nothing.

    `home` is unsaved; `household` is new or one that we know. Raises HomeKnown.
    """
    household.save()
    _save_address(home)
    Ownership.objects.create(home=home, household=household, since=at.astimezone(home.tz).date())
    record_consents(household=household, said=said, at=at)
    keep_words(home=home)
    return home


@transaction.atomic
def change_home(*, home: Home) -> Home:
    """Keep a changed home. Raises HomeKnown where another stands at its new address."""
    _save_address(home)
    keep_words(home=home)
    return home


@transaction.atomic
def change_household(*, household: Household) -> Household:
    """Keep a changed household, and find its homes by the new name, phones and mail."""
    household.save()
    for ownership in household.ownerships.filter(until=None).select_related("home"):
        keep_words(home=ownership.home)
    return household


@transaction.atomic
def change_owner(
    *, home: Home, household: Household, said: Said, on: date, at: datetime
) -> Ownership:
    """Give the home to a household, new or known, from that day on.

    One of several owners may take it over. Raises NotChangeable where they hold it alone already,
    or where it changed hands after that day.
    """
    current = _current(home)
    alone = [each.household_id for each in current] == [household.pk]
    if alone or _entered(household, on, current):
        raise NotChangeable(f"{household} holds {home.street} already.")
    later = home.ownerships.filter(Q(since__gt=on) | Q(until__gt=on)).order_by("-since").first()
    if later:
        raise NotChangeable(
            f"{later.household} holds {home.street} since {later.since:%-d %B %Y}:"
            " choose a day after that."
        )
    for ownership in current:
        ownership.until = on
        ownership.save()
    household.save()
    ownership = Ownership.objects.create(home=home, household=household, since=on)
    record_consents(household=household, said=said, at=at)
    keep_words(home=home)
    signals.owner_changed.send(Home, home=home, household=household, on=on, at=at)
    return ownership


@transaction.atomic
def add_owner(*, home: Home, household: Household, said: Said, on: date, at: datetime) -> Ownership:
    """Enter a household, new or known, that owns the home beside who holds it.

    We go on dealing with the first owner. Raises NotChangeable where they own it already, nobody
    does, or the first owner came after that day.
    """
    current = _current(home)
    if not current:
        raise NotChangeable(f"Nobody holds {home.street}: enter who holds it.")
    first = current[0]
    known = {each.household_id for each in current}
    if household.pk in known or _entered(household, on, current):
        raise NotChangeable(f"{household} owns {home.street} already.")
    if on < first.since:
        raise NotChangeable(f"{first.household} holds it since {first.since:%-d %B %Y}.")
    household.save()
    ownership = Ownership.objects.create(home=home, household=household, since=on)
    record_consents(household=household, said=said, at=at)
    keep_words(home=home)
    signals.owner_added.send(Home, home=home, household=household, at=at)
    return ownership


def _current(home: Home) -> list[Ownership]:
    """Who holds the home now, the first one first; held until the transaction ends."""
    Home.objects.select_for_update().get(pk=home.pk)
    current = home.ownerships.filter(until=None).select_related("household")
    return list(current.order_by("since", "pk"))


def _entered(household: Household, on: date, current: list[Ownership]) -> bool:
    """Whether a household of that name came that very day: then somebody clicked twice."""
    names = {each.household.name.casefold() for each in current if each.since == on}
    return household.name.casefold() in names


def _save_address(home: Home) -> None:
    """Save the home under its folded address. Raises HomeKnown."""
    home.fold_address()
    others = Home.objects.exclude(pk=home.pk)
    if known := others.filter(recognised_by=home.recognised_by).first():
        raise HomeKnown(known)
    try:
        with transaction.atomic():
            home.save()
    except IntegrityError:  # entered by somebody else this very moment
        raise HomeKnown(others.get(recognised_by=home.recognised_by)) from None
