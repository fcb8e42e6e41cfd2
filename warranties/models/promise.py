"""The promise, the terms it was given under, and its certificates."""

from typing import Any, Self

from django.db import models
from django.urls import reverse
from simple_history.models import HistoricalRecords

from customers.models import Home, Household
from jobs.models import Job
from shared.models import languages


class TermsQuerySet(models.QuerySet["Terms"]):
    def newest(self, language: str) -> "Terms | None":
        """The newest terms in that language, else in English. One query."""
        fitting = self.filter(language__in={language, "en"}).order_by("-version")
        return min(fitting, key=lambda terms: terms.language != language, default=None)


class Terms(models.Model):
    """One version of the terms in one language. A promise keeps its version for ever."""

    version = models.PositiveIntegerField()
    language = models.CharField(max_length=5, choices=languages, default="en")
    title = models.CharField(max_length=200)
    body = models.TextField()
    made_at = models.DateTimeField(auto_now_add=True)
    counsel_name = models.CharField(max_length=200, blank=True)
    counsel_on = models.DateField(null=True, blank=True)

    history = HistoricalRecords()
    objects = TermsQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "terms"
        ordering = ["-version", "language"]
        constraints = [
            models.UniqueConstraint(
                fields=["version", "language"], name="one_terms_a_version_and_language"
            )
        ]

    def __str__(self) -> str:
        return f"{self.title}, version {self.version} ({self.language})"


def bases() -> list[tuple[str, str]]:
    """Whose life "lifetime" means (16 CFR 239.4): always named, never assumed."""
    return [
        ("home", "as long as the home stands"),
        ("ownership", "as long as this household owns the home"),
    ]


def promise_states() -> list[tuple[str, str]]:
    return [("in-force", "in force"), ("suspended", "suspended"), ("ended", "ended")]


class PromiseQuerySet(models.QuerySet["Promise"]):
    def in_force(self) -> Self:
        return self.filter(state="in-force")


class Promise(models.Model):
    """The repair promise for one home. `holder` is the household that holds it now."""

    number = models.CharField(max_length=20, unique=True)
    home = models.ForeignKey(Home, models.PROTECT, related_name="promises")
    holder = models.ForeignKey(Household, models.PROTECT, related_name="promises")
    job = models.OneToOneField(Job, models.PROTECT, null=True, blank=True, related_name="promise")
    terms = models.ForeignKey(Terms, models.PROTECT, related_name="promises")
    basis = models.CharField(max_length=20, choices=bases)
    state = models.CharField(max_length=10, choices=promise_states, default="in-force")
    starts_on = models.DateField()
    ended_on = models.DateField(null=True, blank=True)
    exceptions = models.TextField(blank=True)

    history = HistoricalRecords()
    objects = PromiseQuerySet.as_manager()

    def __str__(self) -> str:
        return self.number

    def get_absolute_url(self) -> str:
        return reverse("promise", args=[self.number])


def no_record() -> dict[str, Any]:
    return {}


class Certificate(models.Model):
    """The paper for a promise. The same `record` makes the same bytes."""

    promise = models.ForeignKey(Promise, models.PROTECT, related_name="certificates")
    edition = models.PositiveIntegerField(default=1)
    record = models.JSONField(default=no_record)
    file = models.FileField(upload_to="certificates/")
    sha256 = models.CharField(max_length=64)
    issued_at = models.DateTimeField()
    replaced_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-edition"]
        constraints = [
            models.UniqueConstraint(
                fields=["promise", "edition"], name="one_certificate_an_edition"
            )
        ]

    def __str__(self) -> str:
        return f"{self.promise} edition {self.edition}"
