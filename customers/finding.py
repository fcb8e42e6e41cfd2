"""How a home is recognised and found. The folding itself is customers/folding.py.

Each home has rows of FindWord, kept by the actions. What is asked is cut into words; a home must
have a word that begins with each. A word of one letter or digit must be met exactly: "7" is house
number 7, not a tenth of the town.
"""

from collections.abc import Callable, Collection, Iterable

from django.core.cache import cache
from django.db import connection
from django.db.models import Exists, OuterRef, Q

from customers.folding import asked_words, find_words, phone_words
from customers.models import FindWord, Home, Ownership
from customers.models.home import HomeQuerySet

# Below this many homes of a word it is quicker to look at them all than to walk the streets.
FEW = 10_000
MOST_WORDS = 6
NEIGHBOURHOODS = "neighbourhoods"
REMEMBERED = 600  # seconds

Source = Callable[[Collection[int]], Iterable[tuple[int, str]]]
_sources: list[Source] = []


def register_words(source: Source) -> Source:
    """Let homes also be found by these texts (numbers of jobs, of promises).

    The source gets keys of homes and returns pairs of key and text, in one query for all of them.
    After such a text has changed, call customers.actions.keep_words(home=home).
    """
    if source not in _sources:
        _sources.append(source)
    return source


def words_of(homes: Collection[Home]) -> dict[int, set[str]]:
    """Return every word by which each home is found, by key. One query, and one a source."""
    texts = {home.pk: [home.street, home.unit] for home in homes}
    phones: dict[int, set[str]] = {key: set() for key in texts}
    now = Ownership.objects.filter(home__in=texts, until=None).select_related("household")
    for ownership in now:
        household = ownership.household
        texts[ownership.home_id] += [household.name, household.mail]
        phones[ownership.home_id] |= phone_words(str(household.phone))
        phones[ownership.home_id] |= phone_words(str(household.second_phone))
    for source in _sources:
        for key, text in source(texts.keys()):
            texts[key].append(text)
    return {key: find_words(*texts[key]) | phones[key] for key in texts}


def homes_found(asked: str) -> HomeQuerySet:
    """Return the homes that have a word beginning with each word asked for; all where none is.

    One query to see which word is rarest.
    """
    asked_for = asked_words(asked)[:MOST_WORDS]
    homes = Home.objects.all()
    if not asked_for:
        return homes if not asked.strip() else homes.none()
    counts = _counts(asked_for)
    rarest, *others = sorted(asked_for, key=counts.__getitem__)
    if counts[rarest] >= FEW:
        for word in asked_for:
            homes = homes.filter(_has(word, "pk"))
        return homes
    met = FindWord.objects.filter(_begins(rarest))
    for word in others:
        met = met.filter(_has(word, "home"))
    return homes.filter(pk__in=met.values("home"))


def _has(word: str, home: str) -> Exists:
    """Whether the home, named by that column of the outer query, has such a word."""
    return Exists(FindWord.objects.filter(_begins(word), home=OuterRef(home)))


def neighbourhoods() -> list[str]:
    """Return every neighbourhood that has a home, remembered for a while: it reads all homes."""
    return cache.get_or_set(NEIGHBOURHOODS, _neighbourhoods, REMEMBERED) or []


def _neighbourhoods() -> list[str]:
    named = Home.objects.exclude(neighbourhood="").order_by("neighbourhood")
    return list(named.values_list("neighbourhood", flat=True).distinct())


def _begins(word: str) -> Q:
    first, beyond = _range(word)
    return Q(word__gte=first, word__lt=beyond)


def _range(word: str) -> tuple[bytes, bytes]:
    """Return the first bytes that begin with the word and the first beyond them."""
    first = word.encode()
    return first, first + (b"\0" if len(word) == 1 else b"\xff")


def _counts(asked_for: list[str]) -> dict[str, int]:
    """Return how often each word is met, counted up to FEW. One query."""
    counter = (
        "(SELECT COUNT(*) FROM (SELECT 1 FROM customers_findword"
        " WHERE word >= %s AND word < %s LIMIT %s) AS met)"
    )
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT {', '.join([counter] * len(asked_for))}",
            [part for word in asked_for for part in (*_range(word), FEW)],
        )
        return dict(zip(asked_for, cursor.fetchone(), strict=True))
