"""Money that comes in for a job and cost that it makes, at the fitting and afterwards."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from simple_history.models import HistoricalRecords

from jobs.models.job import Job
from jobs.pricing import plain
from shared.fields import MoneyField


def payment_kinds() -> list[tuple[str, str]]:
    return [("deposit", "deposit"), ("balance", "balance"), ("refund", "refund")]


def payment_ways() -> list[tuple[str, str]]:
    return [("card", "card"), ("check", "paper check"), ("transfer", "transfer"), ("cash", "cash")]


class Payment(models.Model):
    """What a household paid; a refund is negative."""

    job = models.ForeignKey(Job, models.PROTECT, related_name="payments")
    kind = models.CharField(max_length=10, choices=payment_kinds)
    way = models.CharField(max_length=10, choices=payment_ways)
    amount = MoneyField()
    received_on = models.DateField()
    reference = models.CharField(max_length=100, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["received_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(kind="refund", amount__lt=0)
                | (~models.Q(kind="refund") & models.Q(amount__gt=0)),
                name="payment_sign_fits_its_kind",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.amount}"


def cost_kinds() -> list[tuple[str, str]]:
    return [("material", "material"), ("labour", "labour"), ("other", "other")]


def cost_reasons() -> list[tuple[str, str]]:
    return [("fitting", "the fitting"), ("promise", "keeping the promise")]


class Cost(models.Model):
    """Material, hours or other cost of a job: for the fitting, or for keeping its promise.

    A callback's cost is booked on the job whose promise it keeps, with the callback's number as
    reference, so that one sum over a job says what it earned.
    """

    job = models.ForeignKey(Job, models.PROTECT, related_name="costs")
    kind = models.CharField(max_length=10, choices=cost_kinds)
    reason = models.CharField(max_length=10, choices=cost_reasons, default="fitting")
    text = models.CharField(max_length=200)
    quantity = models.DecimalField(max_digits=10, decimal_places=3)
    unit_cost = MoneyField()
    amount = MoneyField()
    on = models.DateField()
    reference = models.CharField(max_length=40, blank=True)
    lot = models.CharField(max_length=40, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )

    history = HistoricalRecords()

    class Meta:
        ordering = ["on", "pk"]
        indexes = [models.Index(fields=["job", "reason", "kind"], name="cost_of_job")]

    def __str__(self) -> str:
        return f"{self.text}: {self.amount}"

    @property
    def quantity_text(self) -> str:
        return plain(Decimal(self.quantity))
