"""One message to one household about one occasion, over one channel, sent once."""

from datetime import datetime, timedelta
from typing import Any, Self

from django.db import models
from django.db.models import Q

from customers.models import Home, Household, Plant
from customers.models.household import channels
from shared.models import languages

CLAIM_LASTS = timedelta(minutes=10)


def notice_kinds() -> list[tuple[str, str]]:
    return [
        ("trim-back", "trim-back"),
        ("seal-check", "seal check due"),
        ("visit-booked", "visit booked"),
        ("visit-cancelled", "visit cancelled"),
        ("certificate", "certificate"),
    ]


def notice_states() -> list[tuple[str, str]]:
    return [
        ("planned", "planned"),
        ("claimed", "being sent"),
        ("sent", "sent"),
        ("held", "held for a person"),
        ("dropped", "dropped"),
    ]


def answers() -> list[tuple[str, str]]:
    return [("done", "done"), ("help", "help me")]


def nothing() -> dict[str, Any]:
    return {}


class NoticeQuerySet(models.QuerySet["Notice"]):
    def due(self, at: datetime) -> Self:
        return self.filter(state="planned", send_at__lte=at)

    def claim(self, *, pk: int, at: datetime) -> "Notice | None":
        """Return the notice, held for this worker alone, or None if there is nothing to send."""
        mine = self.filter(pk=pk, state="planned").update(state="claimed", claimed_at=at)
        return self.get(pk=pk) if mine else None

    def abandoned(self, at: datetime) -> Self:
        """Claimed, and the claim has lapsed: whoever held it died or hangs."""
        return self.filter(state="claimed", claimed_at__lte=at - CLAIM_LASTS)

    def waiting_for_a_person(self) -> Self:
        return self.filter(Q(state="held") | Q(answer="help", answer_handled_at=None))


class Notice(models.Model):
    """`occasion` names what it is about, once: "trim-back:plant-17:2026-04-12:1"."""

    household = models.ForeignKey(Household, models.CASCADE, related_name="notices")
    home = models.ForeignKey(Home, models.CASCADE, related_name="notices")
    plant = models.ForeignKey(Plant, models.SET_NULL, null=True, blank=True, related_name="notices")
    kind = models.CharField(max_length=20, choices=notice_kinds)
    occasion = models.CharField(max_length=120)
    channel = models.CharField(max_length=10, choices=channels)
    language = models.CharField(max_length=5, choices=languages, default="en")
    facts = models.JSONField(default=nothing, help_text="What the text is made from.")
    due_on = models.DateField(null=True, blank=True, help_text="By when the household must act.")
    send_at = models.DateTimeField()
    state = models.CharField(max_length=10, choices=notice_states, default="planned")
    state_reason = models.CharField(max_length=300, blank=True)
    claimed_at = models.DateTimeField(null=True, blank=True)
    handing_over_at = models.DateTimeField(
        null=True, blank=True, help_text="Set just before the mail server gets it."
    )
    sent_at = models.DateTimeField(null=True, blank=True)
    message_id = models.CharField(max_length=200, unique=True)
    key = models.CharField(max_length=40, unique=True, help_text="In its signed links.")
    seen_at = models.DateTimeField(null=True, blank=True)
    answer = models.CharField(max_length=10, choices=answers, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    answer_handled_at = models.DateTimeField(null=True, blank=True)
    planned_at = models.DateTimeField(auto_now_add=True)

    objects = NoticeQuerySet.as_manager()

    class Meta:
        ordering = ["-send_at", "-pk"]
        indexes = [models.Index(fields=["state", "send_at"], name="notice_due")]
        constraints = [
            models.UniqueConstraint(
                fields=["occasion", "channel"], name="one_notice_an_occasion_and_channel"
            ),
            models.CheckConstraint(
                condition=~Q(state="sent") | Q(sent_at__isnull=False),
                name="sent_notice_has_its_moment",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} for {self.household}"
