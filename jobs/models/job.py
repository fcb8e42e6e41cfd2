"""One piece of paid work at a home, and the stages on its way."""

from typing import Self

from django.db import models
from django.urls import reverse
from simple_history.models import HistoricalRecords

from customers.models import Home, Household
from jobs.models.crew import Crew


def stages() -> list[tuple[str, str]]:
    return [
        ("asked", "asked"),
        ("measured", "measured"),
        ("priced", "priced"),
        ("agreed", "agreed"),
        ("booked", "booked"),
        ("fitted", "fitted"),
        ("proved", "proved"),
        ("handed-over", "handed over"),
        ("declined", "declined"),
        ("cancelled", "cancelled"),
    ]


def job_kinds() -> list[tuple[str, str]]:
    return [
        ("fitting", "fitting"),
        ("extension", "extension of a ring"),
        ("repair", "repair, chargeable"),
        ("check", "check, paid"),
    ]


def sources() -> list[tuple[str, str]]:
    return [
        ("neighbour", "a neighbour told them"),
        ("web", "our web page"),
        ("sign", "a sign or van seen"),
        ("builder", "a builder or agent"),
        ("event", "a fair or talk"),
        ("import", "brought in by import"),
        ("other", "other"),
    ]


ON_THE_PATH = ("asked", "measured", "priced", "agreed", "booked", "fitted", "proved", "handed-over")


class JobQuerySet(models.QuerySet["Job"]):
    def open(self) -> Self:
        return self.exclude(stage__in=("handed-over", "declined", "cancelled"))

    def earning(self) -> Self:
        """Jobs that were fitted: they have revenue and cost to look at."""
        return self.filter(stage__in=("fitted", "proved", "handed-over"))


class Job(models.Model):
    """`revenue` is the agreed net total, taken from the offer when the job is fitted."""

    number = models.CharField(max_length=20, unique=True)
    home = models.ForeignKey(Home, models.PROTECT, related_name="jobs")
    household = models.ForeignKey(Household, models.PROTECT, related_name="jobs")
    kind = models.CharField(max_length=20, choices=job_kinds, default="fitting")
    source = models.CharField(max_length=20, choices=sources, default="other")
    stage = models.CharField(max_length=20, choices=stages, default="asked")
    crew = models.ForeignKey(Crew, models.SET_NULL, null=True, blank=True, related_name="jobs")
    wish = models.TextField(blank=True, help_text="What the household asked for, in their words.")
    asked_on = models.DateField()
    measured_on = models.DateField(null=True, blank=True)
    agreed_on = models.DateField(null=True, blank=True)
    fitted_on = models.DateField(null=True, blank=True)
    handed_over_on = models.DateField(null=True, blank=True)
    closed_on = models.DateField(null=True, blank=True, help_text="Declined or cancelled.")
    closed_reason = models.CharField(max_length=200, blank=True)

    history = HistoricalRecords()
    objects = JobQuerySet.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["stage", "asked_on"], name="job_by_stage"),
            models.Index(fields=["-fitted_on", "-id"], name="job_by_fitting_day"),
        ]

    def __str__(self) -> str:
        return f"{self.number} · {self.home.street}"

    def get_absolute_url(self) -> str:
        return reverse("job", args=[self.number])
