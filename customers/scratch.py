"""Households and homes by the thousand, for measuring: an invented town, the same at every run."""

from datetime import UTC, date, datetime

from django.db import transaction

from customers.folding import find_words, phone_words
from customers.models import Consent, FindWord, Home, Household, Ownership

AT = datetime(2025, 1, 6, 16, 0, tzinfo=UTC)
SINCE = date(2025, 1, 6)
_STREETS = """
    Agave Arroyo Aster Badger Basalt Bluestem Brittlebush Cactus Canyon Cholla Cinder Copper
    Cottonwood Coyote Creosote Dune Flint Gravel Hawk Hopseed Indigo Jojoba Juniper Lantana Lark
    Lupine Marigold Mesa Mesquite Ocotillo Paloma Penstemon Quail Sagebrush Saltbush Sandstone
    Sparrow Thistle Verbena Yucca
"""
_FIRST = """
    Ada Ana Ben Carla Dan Elena Finn Grace Hugo Ines Jon Kira Leo Maya Nils Olga Pia Quinn Rosa
    Sam Tara Uma Viktor Wanda Yara Zoe
"""
_LAST = """
    Abbey Barton Castillo Dupree Ekholm Ferris Garza Hollis Ibarra Jensen Kovac Lindqvist Moreno
    Novak Ortega Pruitt Quiroz Rasmussen Sandoval Tierney Urbina Vance Whitaker Xiong Yates Zeller
"""
STREETS, FIRST, LAST = _STREETS.split(), _FIRST.split(), _LAST.split()
KINDS = ("Bend", "Court", "Drive", "Lane", "Road", "Street", "Trail", "Way")
PARTS = ("Dry Creek", "Old Depot", "North Wash", "Windmill", "Quarry Hill", "Cotton Fields")


def street_of(number: int) -> str:
    """The address of the scratch home of that number, from 0."""
    house, street = divmod(number, len(STREETS) * len(KINDS))
    name, kind = divmod(street, len(KINDS))
    return f"{house + 1} {STREETS[name]} {KINDS[kind]}"


def person_of(number: int) -> str:
    last, first = divmod(number, len(FIRST))
    return f"{FIRST[first]} {LAST[last % len(LAST)]}"


@transaction.atomic
def fill_homes(start: int, stop: int) -> list[Ownership]:
    """Make the homes of these numbers with all that a home has. Home and household loaded."""
    numbers = range(start, stop)
    households = Household.objects.bulk_create(_household(number) for number in numbers)
    homes = Home.objects.bulk_create(_home(number) for number in numbers)
    ownerships = Ownership.objects.bulk_create(
        Ownership(home=home, household=household, since=SINCE)
        for home, household in zip(homes, households, strict=True)
    )
    Consent.objects.bulk_create(
        Consent(household=household, channel="mail", given=True, at=AT, how="made for measuring")
        for household in households
    )
    FindWord.objects.bulk_create(
        FindWord(home=home, word=word.encode(), street_order=home.street_order)
        for home, household in zip(homes, households, strict=True)
        for word in find_words(home.street, household.name, household.mail)
        | phone_words(str(household.phone))
    )
    return ownerships


def _household(number: int) -> Household:
    return Household(
        name=person_of(number),
        phone=f"+1602{2_000_000 + number}",
        mail=f"household{number}@example.com",
    )


def _home(number: int) -> Home:
    home = Home(
        street=street_of(number),
        city="Mesquite Flat",
        region="AZ",
        postal_code="85000",
        neighbourhood=PARTS[number % len(PARTS)],
    )
    home.fold_address()
    return home
