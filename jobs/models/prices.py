"""The price book: what we ask and what it costs us, dated."""

from datetime import date
from decimal import Decimal
from typing import Self

from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import override
from simple_history.models import HistoricalRecords

from shared.fields import MoneyField


def units() -> list[tuple[str, str]]:
    return [("ft", "foot"), ("m", "metre"), ("each", "each"), ("hour", "hour")]


def price_codes() -> list[tuple[str, str]]:
    """What can be on an offer. Details carry the vocabulary's names."""
    return [
        ("strip-glass", _("Strip, glass")),
        ("strip-aluminium", _("Strip, polished aluminium (dry garage)")),
        ("collar", _("Collar, PTFE")),
        ("collar-aluminium", _("Collar, PTFE on aluminium")),
        ("column-head-band", _("Column-head band")),
        ("over-wall-return", _("Over-wall return")),
        ("sill-riser", _("Sill riser")),
        ("fence-split", _("Fence split")),
        ("cap", _("Cap")),
        ("cut-back", _("Cut back")),
        ("visit", _("Visit")),
        ("hour", _("Hour of work")),
    ]


class PriceBookQuerySet(models.QuerySet["PriceBook"]):
    def begun(self, on: date) -> Self:
        """Those that were in force by that day, the one that prices a job asked for then first."""
        return self.filter(valid_from__lte=on).order_by("-valid_from")

    def in_force(self, on: date) -> "PriceBook | None":
        """The book that prices a job asked for on that day. One query."""
        return self.begun(on).first()


class PriceBook(models.Model):
    name = models.CharField(max_length=100)
    valid_from = models.DateField(unique=True)
    minimum = MoneyField(default=0, help_text="The least that a fitting is done for.")
    tax_rate = models.DecimalField(
        max_digits=6, decimal_places=4, default=0, help_text="As a fraction: 0.0725 is 7.25 %."
    )
    deposit_share = models.DecimalField(
        max_digits=5,
        decimal_places=4,
        default=Decimal("0.3"),
        help_text="What is asked on agreement, as a fraction of the total.",
    )

    history = HistoricalRecords()
    objects = PriceBookQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.name} (from {self.valid_from})"


class Price(models.Model):
    book = models.ForeignKey(PriceBook, models.CASCADE, related_name="prices")
    code = models.CharField(max_length=40, choices=price_codes)
    text = models.CharField(max_length=200, help_text="As the household reads it.")
    text_es = models.CharField(max_length=200, blank=True, help_text="The same in Spanish.")
    unit = models.CharField(max_length=10, choices=units)
    price = MoneyField()
    cost = MoneyField()

    history = HistoricalRecords()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["book", "code"], name="one_price_a_code"),
            models.CheckConstraint(
                condition=models.Q(price__gte=0, cost__gte=0), name="prices_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.text}: {self.price} {self.per}"

    @property
    def per(self) -> str:
        """What follows a price: "each", "a foot", "an hour"."""
        unit = self.get_unit_display()
        return {"each": unit, "hour": f"an {unit}"}.get(self.unit, f"a {unit}")

    def words(self, language: str) -> str:
        """As a household of that language reads it; without Spanish words of ours, the item's."""
        if language == "en":
            return self.text
        with override(language):
            return self.text_es or str(self.get_code_display())
