"""A property under our care, and who owned it when."""

from datetime import date
from typing import Self
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import models
from django.urls import reverse
from simple_history.models import HistoricalRecords

from customers.folding import address_key, street_order
from customers.likeness import looked_up_by
from customers.models.household import Household
from shared.fields import LengthField


def default_zone() -> str:
    return settings.TIME_ZONE


class HomeQuerySet(models.QuerySet["Home"]):
    def in_order(self) -> Self:
        """By street, then number, then key: stable for paging."""
        return self.order_by("street_order", "pk")

    def with_household(self) -> Self:
        """Each with `holder_name` and `holder_phone` of who holds it now, None where nobody.

        Of several owners, the first.
        """
        held = Ownership.objects.filter(home=models.OuterRef("pk"), until=None)
        now = held.order_by("since", "pk")
        return self.annotate(
            holder_name=models.Subquery(now.values("household__name")[:1]),
            holder_phone=models.Subquery(now.values("household__phone")[:1]),
        )

    def of(self, household: Household, on: date) -> Self:
        """Homes that this household owned on that day."""
        return self.filter(
            models.Q(ownerships__until=None) | models.Q(ownerships__until__gt=on),
            ownerships__household=household,
            ownerships__since__lte=on,
        )


class Home(models.Model):
    street = models.CharField(max_length=200, help_text="House number and street.")
    unit = models.CharField(max_length=40, blank=True)
    city = models.CharField(max_length=100)
    region = models.CharField(max_length=40, blank=True)
    postal_code = models.CharField(max_length=20, blank=True)
    country = models.CharField(max_length=2, default="US")
    neighbourhood = models.CharField(max_length=100, blank=True)
    zone = models.CharField(max_length=60, default=default_zone, help_text="Time zone.")
    clearance_mm = LengthField(
        default=305, help_text="How far plants are kept from the building (12 in: common practice)."
    )
    recognised_by = models.CharField(
        max_length=300, unique=True, editable=False, help_text="The address, folded for comparison."
    )
    street_order = models.CharField(max_length=220, blank=True, editable=False)
    looked_up_by = models.CharField(max_length=20, blank=True, editable=False, db_index=True)
    site_note = models.TextField(blank=True, help_text="Gates, dogs, where to park.")
    created_at = models.DateTimeField(auto_now_add=True)

    history = HistoricalRecords()
    objects = HomeQuerySet.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["street_order", "id"], name="home_in_order"),
            models.Index(fields=["neighbourhood", "street_order", "id"], name="home_in_part"),
        ]

    def __str__(self) -> str:
        return f"{self.street}{f', {self.unit}' if self.unit else ''}, {self.city}"

    def get_absolute_url(self) -> str:
        return reverse("home", args=[self.pk])

    def fold_address(self) -> None:
        """Set what follows from the address. Call before every save of a changed address."""
        self.recognised_by = address_key(
            street=self.street,
            unit=self.unit,
            city=self.city,
            region=self.region,
            country=self.country,
        )
        self.street_order = street_order(self.street)
        self.looked_up_by = looked_up_by(self.street)

    @property
    def address_lines(self) -> list[str]:
        town = " ".join(part for part in (f"{self.city},", self.region, self.postal_code) if part)
        return [line for line in (self.street, self.unit, town.rstrip(",")) if line]

    @property
    def tz(self) -> ZoneInfo:
        return ZoneInfo(self.zone)

    def household(self) -> Household | None:
        """The household that holds the home now; of several owners, the first: we deal with it.

        One query, none where ownerships are loaded.
        """
        return next(iter(self.owners()), None)

    def owners(self) -> list[Household]:
        """Every household that owns the home now, the first one first. Queries as above."""
        current = [each for each in self.ownerships.all() if each.until is None]
        return [each.household for each in sorted(current, key=lambda each: (each.since, each.pk))]


class Ownership(models.Model):
    """A household owned a home from one day (included) until another (excluded)."""

    home = models.ForeignKey(Home, models.CASCADE, related_name="ownerships")
    household = models.ForeignKey(Household, models.PROTECT, related_name="ownerships")
    since = models.DateField()
    until = models.DateField(null=True, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["-since", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(until=None) | models.Q(until__gte=models.F("since")),
                name="ownership_ends_after_it_began",
            ),
            models.UniqueConstraint(
                fields=["home", "household"],
                condition=models.Q(until=None),
                name="household_owns_a_home_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.household} since {self.since}"
