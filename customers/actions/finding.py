"""The words by which homes are found, kept in step with what they come from."""

from collections.abc import Collection

from django.core.cache import cache
from django.db import transaction

from customers.finding import NEIGHBOURHOODS, words_of
from customers.models import FindWord, Home


def keep_words(*, home: Home) -> None:
    """Make the home's find words those of its address, people and numbers now."""
    keep_words_of_all(homes=[home])


@transaction.atomic
def keep_words_of_all(*, homes: Collection[Home]) -> None:
    """Make the find words of many homes what they come from now, in a few queries for all."""
    places = {home.pk: home.street_order for home in homes}
    wanted = {
        (key, word.encode(), places[key])
        for key, words in words_of(homes).items()
        for word in words
    }
    rows = FindWord.objects.filter(home__in=places)
    columns = rows.values_list("pk", "home", "word", "street_order")
    kept = {(home, bytes(word), place): pk for pk, home, word, place in columns}
    if gone := [pk for row, pk in kept.items() if row not in wanted]:
        FindWord.objects.filter(pk__in=gone).delete()
    FindWord.objects.bulk_create(
        (
            FindWord(home_id=home, word=word, street_order=place)
            for home, word, place in sorted(wanted - kept.keys())
        ),
        batch_size=2_000,
        ignore_conflicts=True,
    )
    cache.delete(NEIGHBOURHOODS)
