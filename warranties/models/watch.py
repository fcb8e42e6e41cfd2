"""What the readings of a plant come to: when it opens the ring. One row a plant."""

from datetime import date
from typing import Self

from django.db import models
from django.db.models import Exists, OuterRef, Q, Subquery

from customers.models import Ownership, Plant
from warranties.models.promise import Promise

# From a watch to who holds its home, in rows `with_household`.
HOLDER = "plant__home__ownerships__household"


class WatchQuerySet(models.QuerySet["Watch"]):
    def growing(self) -> Self:
        return self.filter(plant__removed_on=None)

    def promised(self) -> Self:
        """At homes whose promise stands."""
        standing = Promise.objects.standing().filter(home=OuterRef("plant__home"))
        return self.filter(Exists(standing))

    def with_household(self) -> Self:
        """Those of held homes, joined to one household that holds it now, at HOLDER."""
        now = Ownership.objects.filter(home=OuterRef("plant__home"), until=None)
        return self.filter(plant__home__ownerships=Subquery(now.values("pk")[:1]))

    def for_a_page(self) -> Self:
        """What opens some day, each with `holder` and `phone` of who holds the home."""
        now = Ownership.objects.filter(home=OuterRef("plant__home"), until=None)
        return (
            self.growing()
            .promised()
            .filter(opens_on__isnull=False)
            .select_related("plant__home")
            .annotate(
                holder=Subquery(now.values("household__name")[:1]),
                phone=Subquery(now.values("household__phone")[:1]),
            )
        )

    def open_by(self, day: date) -> Self:
        return self.filter(opens_on__lte=day)


class Watch(models.Model):
    """Recomputed at every reading and answer by warranties.actions.watching; never by hand.

    `opens_on` is the day by which the plant touches with the firm's chance; the 80 % interval is
    for the screen. An empty day is never. The rest is the estimate (growth.Estimate): lengths in
    mm, growth in mm of a growing year.
    """

    plant = models.OneToOneField(Plant, models.CASCADE, related_name="watch")
    cycle = models.PositiveBigIntegerField(
        help_text="Key of the reading since which it grows: the last cut, or the first reading."
    )
    opens_on = models.DateField(null=True, blank=True)
    chance = models.FloatField(help_text="Of touching by opens_on.")
    earliest_on = models.DateField(null=True, blank=True)
    latest_on = models.DateField(null=True, blank=True)
    read_on = models.DateField()
    clearance_mm = models.FloatField()
    rate_mm = models.FloatField()
    clearance_var = models.FloatField()
    rate_var = models.FloatField()
    covariance = models.FloatField()
    scatter_mm = models.FloatField()
    touching = models.BooleanField(default=False)

    objects = WatchQuerySet.as_manager()

    class Meta:
        ordering = ["opens_on", "pk"]
        indexes = [models.Index(fields=["opens_on"], name="watch_opens_on")]
        constraints = [
            models.CheckConstraint(
                condition=Q(chance__gt=0) & Q(chance__lt=1), name="chance_is_between_0_and_1"
            )
        ]

    def __str__(self) -> str:
        return f"{self.plant} opens on {self.opens_on or 'no day'}"
