"""The priced proposal that a household can agree to, once."""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from typing import Self

from django.conf import settings
from django.db import models
from django.urls import reverse
from simple_history.models import HistoricalRecords

from customers.models import Photo
from jobs.models.job import Job
from jobs.models.prices import PriceBook, units
from jobs.pricing import OfferTotals, offer_totals, plain
from shared.fields import MoneyField
from shared.models import languages


def offer_states() -> list[tuple[str, str]]:
    return [
        ("draft", "draft"),
        ("sent", "sent"),
        ("agreed", "agreed"),
        ("declined", "declined"),
        ("replaced", "replaced by a newer offer"),
    ]


def agreed_ways() -> list[tuple[str, str]]:
    return [
        ("paper", "on paper"),
        ("online", "on line"),
        ("home", "at the home, on our device"),
        ("office", "at our place of business"),
    ]


MINIMUM_CODE = "minimum"
OPEN = ("draft", "sent")


class OfferQuerySet(models.QuerySet["Offer"]):
    def open(self) -> Self:
        """Offers that can still be agreed to."""
        return self.filter(state__in=OPEN)


class Offer(models.Model):
    job = models.ForeignKey(Job, models.CASCADE, related_name="offers")
    number = models.CharField(max_length=20, unique=True)
    book = models.ForeignKey(PriceBook, models.PROTECT, related_name="offers")
    tax_rate = models.DecimalField(max_digits=6, decimal_places=4, default=0)
    deposit = MoneyField(default=0)
    state = models.CharField(max_length=10, choices=offer_states, default="draft")
    made_on = models.DateField()
    valid_until = models.DateField()
    note = models.TextField(blank=True)
    language = models.CharField(
        max_length=5,
        choices=languages,
        default="en",
        help_text="In which we talk about the sale: the papers speak it too (16 CFR 429.1).",
    )
    warranty_shown_at = models.DateTimeField(null=True, blank=True)
    paper_sign_by = models.DateField(
        null=True, blank=True, help_text="The last day of signing on a paper that we sent."
    )
    agreed_at = models.DateTimeField(null=True, blank=True)
    agreed_by = models.CharField(max_length=200, blank=True)
    agreed_how = models.CharField(max_length=10, choices=agreed_ways, blank=True)
    told_orally_at = models.DateTimeField(
        null=True, blank=True, help_text="When we said aloud how to cancel and see the warranty."
    )
    cooling_off_ends_at = models.DateTimeField(null=True, blank=True)
    waiver_photo = models.ForeignKey(Photo, models.PROTECT, null=True, blank=True, related_name="+")
    waiver_note = models.CharField(max_length=200, blank=True)
    waived_at = models.DateTimeField(null=True, blank=True)
    waived_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )

    history = HistoricalRecords()
    objects = OfferQuerySet.as_manager()

    class Meta:
        ordering = ["-made_on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["job"], condition=models.Q(state="agreed"), name="one_agreed_offer_a_job"
            ),
            models.CheckConstraint(
                condition=~models.Q(state="agreed") | models.Q(agreed_at__isnull=False),
                name="agreed_offer_has_its_moment",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    def get_absolute_url(self) -> str:
        return reverse("offer", args=[self.number])

    def totals(self) -> OfferTotals:
        """What it comes to. One query, none where lines are loaded."""
        return self.totals_of(self.lines.all())

    def totals_of(self, lines: Iterable["OfferLine"]) -> OfferTotals:
        return offer_totals(
            [line.amount for line in lines],
            tax_rate=Decimal(self.tax_rate),
            deposit=Decimal(self.deposit),
        )

    @property
    def tax_percent(self) -> str:
        return plain(Decimal(self.tax_rate) * 100)

    def held_until(self) -> datetime | None:
        """Until when no work may begin, for the household may still cancel; None for no hold."""
        return None if self.waived_at else self.cooling_off_ends_at


class OfferLine(models.Model):
    offer = models.ForeignKey(Offer, models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=40)
    text = models.CharField(max_length=200)
    quantity = models.DecimalField(max_digits=10, decimal_places=3)
    unit = models.CharField(max_length=10, choices=units)
    unit_price = MoneyField()
    unit_cost = MoneyField(default=0)
    amount = MoneyField(help_text="Quantity times price, rounded half up to the cent.")

    history = HistoricalRecords()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["offer", "position"], name="one_line_a_position"),
            models.CheckConstraint(
                condition=models.Q(quantity__gt=0), name="offer_line_quantity_positive"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.unit} {self.text}"

    @property
    def quantity_text(self) -> str:
        return plain(Decimal(self.quantity))

    @property
    def measure_text(self) -> str:
        """The quantity with its unit as one writes it: 160.5 ft, 2.5 h, 6."""
        unit = {"ft": " ft", "m": " m", "hour": " h"}.get(self.unit, "")
        return f"{self.quantity_text}{unit}"
