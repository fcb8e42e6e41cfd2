"""The terms of our papers: versioned, in every language, kept for ever."""

from datetime import datetime
from typing import Self

from django.db import models
from django.urls import reverse
from simple_history.models import HistoricalRecords

from shared.models import languages


def papers() -> list[tuple[str, str]]:
    """Two papers, never one (16 CFR 700.11(c)): the warranty and the service contract."""
    return [("promise", "repair promise (warranty)"), ("checks", "check plan (service contract)")]


def bases() -> list[tuple[str, str]]:
    """Whose life "lifetime" means (16 CFR 239.4): always named, never assumed."""
    return [
        ("home", "as long as the home stands"),
        ("ownership", "as long as this household owns the home"),
    ]


class TermsQuerySet(models.QuerySet["Terms"]):
    def newest(self, language: str, paper: str = "promise") -> "Terms | None":
        """The newest terms in that language, else in English. One query."""
        return self._fitting(language, paper).first()

    def shown(self, language: str, at: datetime, paper: str = "promise") -> "Terms | None":
        """What a household could read at that moment, else the oldest there is. Two queries."""
        fitting = self._fitting(language, paper)
        return fitting.filter(made_at__lte=at).first() or fitting.order_by("made_at").first()

    def _fitting(self, language: str, paper: str) -> Self:
        """In that language and English: that language first, in each the newest first."""
        other = models.Case(models.When(language=language, then=0), default=1)
        return self.filter(language__in={language, "en"}, paper=paper).order_by(other, "-version")


class Terms(models.Model):
    """One version of one paper's terms in one language. What was given under it keeps it.

    `basis` says whose life the promise lasts for; check plans last `years` instead.
    `suspend_after_notices` is what {notices} in the body prints; None: it is never suspended.
    """

    paper = models.CharField(max_length=10, choices=papers, default="promise")
    version = models.PositiveIntegerField()
    language = models.CharField(max_length=5, choices=languages, default="en")
    title = models.CharField(max_length=200)
    basis = models.CharField(max_length=20, choices=bases, blank=True)
    years = models.PositiveSmallIntegerField(null=True, blank=True)
    suspend_after_notices = models.PositiveSmallIntegerField(null=True, blank=True)
    body = models.TextField()
    made_at = models.DateTimeField()
    counsel_name = models.CharField(max_length=200, blank=True)
    counsel_on = models.DateField(null=True, blank=True)

    history = HistoricalRecords()
    objects = TermsQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "terms"
        ordering = ["-version", "language"]
        constraints = [
            models.UniqueConstraint(
                fields=["paper", "version", "language"],
                name="one_terms_a_paper_version_and_language",
            ),
            models.CheckConstraint(
                condition=(models.Q(paper="promise") & ~models.Q(basis=""))
                | (models.Q(paper="checks") & models.Q(years__gt=0)),
                name="terms_say_how_long",
            ),
            models.CheckConstraint(
                condition=models.Q(counsel_name="", counsel_on=None)
                | (~models.Q(counsel_name="") & ~models.Q(counsel_on=None)),
                name="counsel_has_name_and_day",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.title}, version {self.version} ({self.language})"

    def get_absolute_url(self) -> str:
        return reverse("terms", args=[self.paper, self.language, self.version])
