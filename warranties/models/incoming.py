"""What households write to us by text."""

from datetime import datetime
from typing import Self

from django.db import models
from django.db.models import Q
from phonenumber_field.modelfields import PhoneNumberField

from customers.models import Household


def heard_as() -> list[tuple[str, str]]:
    return [("stop", "stop"), ("help", "help")]


class IncomingTextQuerySet(models.QuerySet["IncomingText"]):
    def to_answer(self, after: datetime) -> Self:
        """What came after that moment, asked for an answer of ours and has none yet."""
        return self.exclude(heard="").filter(answered_at=None, at__gt=after)

    def for_a_person(self) -> Self:
        return self.filter(read_at=None)


class IncomingText(models.Model):
    """One text as the gateway brought it. `household` is None where nobody has that number."""

    gateway_id = models.CharField(max_length=200, unique=True)
    phone = PhoneNumberField()
    household = models.ForeignKey(
        Household, models.SET_NULL, null=True, blank=True, related_name="incoming_texts"
    )
    words = models.CharField(max_length=1600)
    heard = models.CharField(max_length=10, choices=heard_as, blank=True)
    at = models.DateTimeField()
    answered_at = models.DateTimeField(
        null=True, blank=True, help_text="Set just before the gateway gets our answer."
    )
    read_at = models.DateTimeField(null=True, blank=True, help_text="When nobody need read it.")

    objects = IncomingTextQuerySet.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [
            models.Index(fields=["at"], name="text_to_read", condition=Q(read_at=None)),
            models.Index(
                fields=["at"],
                name="text_to_answer",
                condition=Q(answered_at=None) & ~Q(heard=""),
            ),
        ]

    def __str__(self) -> str:
        return f"text from {self.household or self.phone}"
