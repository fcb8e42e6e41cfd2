"""The household says that the promise is not kept: findings, cause, decision, remedy."""

from typing import Self

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext as _
from simple_history.models import HistoricalRecords

from customers.models import Photo
from jobs.models import Booking, FittedDetail
from warranties.models.promise import Promise
from warranties.stings import speaks_of_a_sting

SEAL_CAUSES = ("open-joint", "lifted-strip", "collar-moved")  # What a seal answers for.


def causes() -> list[tuple[str, str]]:
    return [
        ("plant-contact", _("plant contact")),
        ("open-joint", _("open joint")),
        ("lifted-strip", _("lifted strip")),
        ("new-line", _("new line through the wall")),
        ("sill-gap", _("sill gap")),
        ("collar-moved", _("collar moved")),
        ("wall-top", _("wall-top contact")),
        ("building-changed", _("change to the building")),
        ("inside-before", _("inside before fitting")),
        ("not-a-crawler", _("not a crawler")),
        ("not-found", _("not found")),
    ]


def decisions() -> list[tuple[str, str]]:
    return [("covered", _("covered")), ("courtesy", _("courtesy")), ("chargeable", _("chargeable"))]


class CallbackQuerySet(models.QuerySet["Callback"]):
    def open(self) -> Self:
        return self.filter(closed_at=None)

    def for_a_page(self) -> Self:
        return self.select_related("promise__home", "promise__holder", "promise__job")


class Callback(models.Model):
    promise = models.ForeignKey(Promise, models.PROTECT, related_name="callbacks")
    number = models.CharField(max_length=20, unique=True)
    reported_at = models.DateTimeField()
    report = models.TextField(help_text="What the household says, in their words.")
    stung = models.BooleanField(default=False, help_text="Somebody was stung.")
    booking = models.ForeignKey(
        Booking, models.SET_NULL, null=True, blank=True, related_name="callbacks"
    )
    place = models.CharField(max_length=100, blank=True, help_text="Leg or feature of the plan.")
    detail = models.ForeignKey(
        FittedDetail,
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="+",
        help_text="The fitted detail whose seal opened, where somebody can tell.",
    )
    findings = models.TextField(blank=True)
    cause = models.CharField(max_length=20, choices=causes, blank=True)
    called_before = models.BooleanField(
        null=True, blank=True, help_text="They called us before the new line or building work."
    )
    damaged_by_others = models.BooleanField(
        null=True, blank=True, help_text="Force, fire or other people's work did it."
    )
    shown_how = models.TextField(blank=True, help_text="What shows that others did it.")
    price_agreed = models.DecimalField(
        max_digits=10,
        decimal_places=2,
        null=True,
        blank=True,
        help_text="Told before the visit, and agreed to.",
    )
    proposed = models.CharField(max_length=20, choices=decisions, blank=True)
    proposed_by = models.CharField(max_length=30, blank=True, help_text="The clause, by name.")
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

    history = HistoricalRecords()
    objects = CallbackQuerySet.as_manager()

    class Meta:
        ordering = ["-reported_at", "-pk"]
        indexes = [models.Index(fields=["-reported_at", "-id"], name="callback_newest_first")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(decision="")
                | (~models.Q(cause="") & ~models.Q(reason="") & ~models.Q(decided_at=None)),
                name="decision_has_cause_reason_and_moment",
            ),
            models.CheckConstraint(
                condition=models.Q(closed_at=None) | ~models.Q(decision=""),
                name="closed_callback_is_decided",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} ({self.promise})"

    def get_absolute_url(self) -> str:
        return reverse("callback", args=[self.number])

    @property
    def is_about_a_sting(self) -> bool:
        return self.stung or speaks_of_a_sting(self.report)

    @property
    def is_a_seals(self) -> bool:
        """Whether its cause is the seal's own."""
        return self.cause in SEAL_CAUSES

    @property
    def against_proposal(self) -> bool:
        """Whether a person decided otherwise than the terms proposed."""
        return bool(self.decision and self.proposed and self.decision != self.proposed)

    @property
    def stage(self) -> str:
        """Where it stands, in one word of ours."""
        if self.closed_at:
            return _("closed")
        if self.decision:
            return _("decided")
        return _("looked at") if self.found_at else _("reported")
