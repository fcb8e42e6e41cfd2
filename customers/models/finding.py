"""Words by which a home is found, kept so that finding costs an index look-up at any size."""

from django.db import models

from customers.models.home import Home


class FindWord(models.Model):
    """One folded word of a home's address, people, phones, mails or numbers.

    As UTF-8, for bytes are in the same order in every database, whatever its language. Beside it
    the home's place in the list, so that the homes of a word are read in the list's order.
    """

    home = models.ForeignKey(Home, models.CASCADE, related_name="find_words", db_index=False)
    word = models.BinaryField(max_length=240)
    street_order = models.CharField(max_length=220, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["home", "word"], name="find_word_once_a_home")
        ]
        indexes = [models.Index(fields=["word", "street_order", "home"], name="homes_of_word")]

    def __str__(self) -> str:
        return bytes(self.word).decode()
