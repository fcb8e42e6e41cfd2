"""The household says that the promise is not kept: findings, cause, decision, remedy."""

from django.conf import settings
from django.db import models
from django.urls import reverse
from simple_history.models import HistoricalRecords

from customers.models import Photo
from jobs.models import Booking
from warranties.models.promise import Promise


def causes() -> list[tuple[str, str]]:
    return [
        ("plant-contact", "plant contact"),
        ("open-joint", "open joint"),
        ("lifted-strip", "lifted strip"),
        ("new-line", "new line through the wall"),
        ("sill-gap", "sill gap"),
        ("collar-moved", "collar moved"),
        ("wall-top", "wall-top contact"),
        ("building-changed", "change to the building"),
        ("inside-before", "inside before fitting"),
        ("not-a-crawler", "not a crawler"),
        ("not-found", "not found"),
    ]


def decisions() -> list[tuple[str, str]]:
    return [("covered", "covered"), ("courtesy", "courtesy"), ("chargeable", "chargeable")]


class Callback(models.Model):
    promise = models.ForeignKey(Promise, models.PROTECT, related_name="callbacks")
    number = models.CharField(max_length=20, unique=True)
    reported_at = models.DateTimeField()
    report = models.TextField(help_text="What the household says, in their words.")
    booking = models.ForeignKey(
        Booking, models.SET_NULL, null=True, blank=True, related_name="callbacks"
    )
    place = models.CharField(max_length=100, blank=True, help_text="Leg or feature of the plan.")
    findings = models.TextField(blank=True)
    cause = models.CharField(max_length=20, choices=causes, blank=True)
    decision = models.CharField(max_length=20, choices=decisions, blank=True)
    reason = models.TextField(blank=True)
    remedy = models.TextField(blank=True)
    photos = models.ManyToManyField(Photo, related_name="+", blank=True)
    found_at = models.DateTimeField(null=True, blank=True)
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    closed_at = models.DateTimeField(null=True, blank=True)

    history = HistoricalRecords(m2m_fields=[])

    class Meta:
        ordering = ["-reported_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(decision="")
                | (~models.Q(cause="") & ~models.Q(reason="") & ~models.Q(decided_at=None)),
                name="decision_has_cause_reason_and_moment",
            )
        ]

    def __str__(self) -> str:
        return f"{self.number} ({self.promise})"

    def get_absolute_url(self) -> str:
        return reverse("callback", args=[self.number])
