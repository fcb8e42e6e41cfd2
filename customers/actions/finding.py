"""The words by which homes are found, kept in step with what they come from."""

from django.core.cache import cache
from django.db import transaction

from customers.finding import NEIGHBOURHOODS, words_of
from customers.models import FindWord, Home


@transaction.atomic
def keep_words(*, home: Home) -> None:
    """Make the home's find words those of its address, people and numbers now."""
    wanted = {word.encode() for word in words_of(home)}
    kept = {bytes(word) for word in home.find_words.values_list("word", flat=True)}
    if gone := kept - wanted:
        home.find_words.filter(word__in=gone).delete()
    FindWord.objects.bulk_create(
        (FindWord(home=home, word=word) for word in sorted(wanted - kept)), ignore_conflicts=True
    )
    cache.delete(NEIGHBOURHOODS)
