"""How a home is recognised and found. The folding itself is customers/folding.py.

Each home has rows of FindWord, kept by the actions. What is asked is cut into words; a home must
have a word that begins with each. A word of one letter or digit must be met exactly: "7" is house
number 7, not a tenth of the town.
"""

from collections.abc import Callable, Collection, Iterable
from typing import NamedTuple

from django.core.cache import cache
from django.db import connection
from django.db.models import Exists, F, OuterRef, Q

from customers.folding import asked_words, find_words, phone_words
from customers.models import FindWord, Home, Ownership
from customers.models.home import HomeQuerySet

# Below this many homes of a word it is quicker to look at them all than to walk the streets.
FEW = 2_000
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

    Each with `place`, its street order. One query to see what the words are like.
    """
    asked_for = asked_words(asked)[:MOST_WORDS]
    homes = Home.objects.annotate(place=F("street_order"))
    if not asked_for:
        return homes if not asked.strip() else homes.none()
    met = sorted(_met(asked_for), key=lambda each: each.rows)
    rarest = met[0]
    whole = next((each for each in met if each.is_whole), None)
    if whole and (whole is rarest or rarest.rows >= FEW):
        walked = _homes_of(whole)
        others = [each.asked for each in met if each is not whole]
    elif rarest.rows < FEW:
        few = FindWord.objects.filter(_begins(rarest.asked)).values("home")
        walked, others = homes.filter(pk__in=few), [each.asked for each in met[1:]]
    else:
        walked, others = homes, asked_for
    for word in others:
        walked = walked.filter(_has(word))
    return walked


class Met(NamedTuple):
    """A word asked for, and the words of ours that begin with it."""

    asked: str
    rows: int  # of those, up to FEW
    first: bytes | None
    last: bytes | None

    @property
    def is_whole(self) -> bool:
        """Whether one word alone begins so: its homes can be read in the list's order."""
        return self.first is not None and self.first == self.last


def _homes_of(word: Met) -> HomeQuerySet:
    """The homes of one whole word, whose `place` is read off the words' own index."""
    homes = Home.objects.filter(find_words__word=word.first)
    return homes.annotate(place=F("find_words__street_order"))


def _has(word: str) -> Exists:
    return Exists(FindWord.objects.filter(_begins(word), home=OuterRef("pk")))


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


def _met(asked_for: list[str]) -> list[Met]:
    """Return what each word meets, counted up to FEW. One query."""
    among = "FROM customers_findword WHERE word >= %s AND word < %s"
    looks = (
        f"(SELECT COUNT(*) FROM (SELECT 1 {among} LIMIT {FEW}) AS met),"  # noqa: S608  # ours
        f" (SELECT word {among} ORDER BY word LIMIT 1),"
        f" (SELECT word {among} ORDER BY word DESC LIMIT 1)"
    )
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT {', '.join([looks] * len(asked_for))}",
            [part for word in asked_for for part in _range(word) * 3],
        )
        found = iter(cursor.fetchone())
    return [
        Met(word, count, first and bytes(first), last and bytes(last))
        for word, count, first, last in zip(asked_for, found, found, found, strict=True)
    ]
