"""A promise on its way to the next household, and who must say yes to it."""

from datetime import datetime
from typing import Self

from django.db import models
from simple_history.models import HistoricalRecords

from customers.models import Household, HouseholdLink
from warranties.models.promise import Promise


def transfer_starters() -> list[tuple[str, str]]:
    return [("office", "the office"), ("old", "the old household"), ("new", "the new household")]


class TransferQuerySet(models.QuerySet["Transfer"]):
    def open(self) -> Self:
        return self.filter(done_at=None, dropped_at=None)


class Transfer(models.Model):
    """A promise on its way to the home's new household: both sides say yes.

    A side has agreed once every owner on it has, each on a link of its own: see TransferVoice.
    """

    promise = models.ForeignKey(Promise, models.CASCADE, related_name="transfers")
    old = models.ForeignKey(Household, models.PROTECT, related_name="+")
    new = models.ForeignKey(Household, models.PROTECT, related_name="+")
    started_by = models.CharField(max_length=10, choices=transfer_starters)
    started_at = models.DateTimeField()
    moved_on = models.DateField(help_text="The day from which the new household owns the home.")
    old_agreed_at = models.DateTimeField(null=True, blank=True)
    new_agreed_at = models.DateTimeField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    dropped_at = models.DateTimeField(null=True, blank=True)

    history = HistoricalRecords()
    objects = TransferQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["promise"],
                condition=models.Q(done_at=None, dropped_at=None),
                name="one_open_transfer_a_promise",
            ),
            models.CheckConstraint(
                condition=models.Q(done_at=None)
                | models.Q(old_agreed_at__isnull=False, new_agreed_at__isnull=False),
                name="transfer_is_done_when_both_agreed",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.promise} to {self.new}"

    @property
    def is_open(self) -> bool:
        return self.done_at is None and self.dropped_at is None

    def call_off(self, at: datetime) -> None:
        """Nothing moves, and no link of it opens anything any more."""
        self.dropped_at = at
        self.save()
        self.revoke_links(at)

    def revoke_links(self, at: datetime) -> None:
        links = self.voices.exclude(link=None).values("link")
        HouseholdLink.objects.filter(pk__in=links, revoked_at=None).update(revoked_at=at)

    def voice_of(self, household: Household) -> "TransferVoice":
        """Whose yes it asks of a household. One query; raises TransferVoice.DoesNotExist."""
        return self.voices.select_related("link").get(household=household)


def sides() -> list[tuple[str, str]]:
    return [("old", "the old household"), ("new", "the new household")]


class TransferVoice(models.Model):
    """One owner who must say yes to a transfer, and the link on which they do."""

    transfer = models.ForeignKey(Transfer, models.CASCADE, related_name="voices")
    household = models.ForeignKey(Household, models.PROTECT, related_name="+")
    side = models.CharField(max_length=3, choices=sides)
    link = models.OneToOneField(
        HouseholdLink, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    agreed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["transfer", "household"], name="one_voice_a_household_and_transfer"
            )
        ]

    def __str__(self) -> str:
        return f"{self.household} on {self.transfer}"
