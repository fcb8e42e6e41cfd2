"""Words by which a home is found, kept so that finding costs an index look-up at any size."""

from django.db import models

from customers.models.home import Home


class FindWord(models.Model):
    """One folded word of a home's address, people, phones, mails or numbers."""

    home = models.ForeignKey(Home, models.CASCADE, related_name="find_words")
    word = models.CharField(max_length=60)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["word", "home"], name="find_word_once_a_home")
        ]

    def __str__(self) -> str:
        return self.word
