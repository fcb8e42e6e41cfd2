"""A household takes the papers that the law wants in writing as files instead of on paper."""

from typing import Self

from django.db import models
from simple_history.models import HistoricalRecords

from customers.models.household import Household
from shared.models import languages

# The version of what we tell before they choose (customers/paperless.py). It grows with every
# change of what is needed to read or keep the files: then we ask again (15 USC 7001(c)(1)(D)).
STATEMENT = 1


class PaperlessQuerySet(models.QuerySet["Paperless"]):
    def standing(self) -> Self:
        """Given under what we tell today, and not withdrawn."""
        return self.filter(version=STATEMENT, withdrawn_at=None)


class Paperless(models.Model):
    """One consent under 15 USC 7001(c): what was told before it, how it was given, its end.

    Never deleted, never given twice: who withdraws and comes back makes a new row.
    """

    household = models.ForeignKey(Household, models.CASCADE, related_name="paperless")
    version = models.PositiveSmallIntegerField(default=STATEMENT)
    language = models.CharField(max_length=5, choices=languages)
    statement = models.TextField(help_text="What they were told, word for word.")
    given_at = models.DateTimeField()
    given_by = models.CharField(max_length=200, help_text="The name as they signed.")
    shown_how = models.CharField(
        max_length=200, help_text="How it was shown that they can open the files."
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_how = models.CharField(max_length=200, blank=True)

    history = HistoricalRecords()
    objects = PaperlessQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "paperless"
        ordering = ["-given_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["household"],
                condition=models.Q(withdrawn_at=None),
                name="one_paperless_a_household",
            ),
            models.CheckConstraint(
                condition=~models.Q(statement="") & ~models.Q(shown_how=""),
                name="paperless_says_what_and_how",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.household}: papers as files since {self.given_at:%Y-%m-%d}"
