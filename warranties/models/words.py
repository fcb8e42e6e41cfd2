"""The words of notices as the firm writes them: every version is kept, the newest stands."""

from typing import Self

from django.db import models

from shared.models import User, languages
from warranties.phrasing import OCCASIONS, Words


def occasions() -> list[tuple[str, str]]:
    return [(key, occasion.title) for key, occasion in OCCASIONS.items()]


class NoticeWordsQuerySet(models.QuerySet["NoticeWords"]):
    def of(self, occasion: str, language: str) -> Self:
        """Every version of one occasion's words in one language, newest first."""
        return self.filter(occasion=occasion, language=language).order_by("-version")


class NoticeWords(models.Model):
    """One version. `shipped` says that from here on the words of this program stand again."""

    occasion = models.CharField(max_length=20, choices=occasions)
    language = models.CharField(max_length=5, choices=languages)
    version = models.PositiveIntegerField()
    shipped = models.BooleanField(default=False)
    subject = models.CharField(max_length=200, blank=True)
    body = models.TextField(blank=True)
    text = models.TextField(blank=True, help_text="The text message.")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")

    objects = NoticeWordsQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "notice words"
        ordering = ["occasion", "language", "-version"]
        constraints = [
            models.UniqueConstraint(
                fields=["occasion", "language", "version"],
                name="one_words_an_occasion_language_and_version",
            ),
            models.CheckConstraint(
                condition=models.Q(shipped=True, subject="", body="", text="")
                | (models.Q(shipped=False) & ~models.Q(subject="") & ~models.Q(body="")),
                name="words_are_shipped_or_our_own",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_occasion_display()}, {self.language}, version {self.version}"

    @property
    def words(self) -> Words:
        return Words(self.subject, self.body, self.text)
