"""Crews and the diary. A quarter of an hour of a crew can be booked once: the database holds it."""

from datetime import datetime
from typing import Self

from django.conf import settings
from django.db import models
from django.utils.translation import gettext as _

from customers.models import Home, Household
from shared.models import User


class Crew(models.Model):
    name = models.CharField(max_length=60, unique=True)
    members = models.ManyToManyField(settings.AUTH_USER_MODEL, related_name="crews", blank=True)
    hourly_cost = models.DecimalField(max_digits=8, decimal_places=2, default=0)
    active = models.BooleanField(default=True)

    def __str__(self) -> str:
        return self.name


def purposes() -> list[tuple[str, str]]:
    return [
        ("measure", _("measure")),
        ("fitting", _("fitting")),
        ("check", _("check")),
        ("callback", _("callback")),
    ]


class BookingQuerySet(models.QuerySet["Booking"]):
    def standing(self) -> Self:
        return self.filter(cancelled_at=None)

    def between(self, start: datetime, end: datetime) -> Self:
        return self.filter(starts_at__lt=end, ends_at__gt=start)

    def of(self, user: User) -> Self:
        """The visits that are this person's to see: all for who books, else their own crews'."""
        if user.has_perm("shared.book"):
            return self
        return self.filter(crew__in=Crew.objects.filter(members=user))

    def as_round(self) -> Self:
        """In the order of the round, with all that a stop shows. Four queries."""
        return (
            self.order_by("crew__name", "order", "starts_at", "pk")
            .select_related("crew", "home", "job__household")
            .prefetch_related("home__ownerships__household", "job__offers__lines")
        )


class Booking(models.Model):
    """A visit in the diary. Its quarters (BookedQuarter) exist while it stands."""

    crew = models.ForeignKey(Crew, models.PROTECT, related_name="bookings")
    home = models.ForeignKey(Home, models.PROTECT, related_name="bookings")
    job = models.ForeignKey(
        "jobs.Job", models.PROTECT, null=True, blank=True, related_name="bookings"
    )
    purpose = models.CharField(max_length=10, choices=purposes)
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    note = models.CharField(max_length=200, blank=True)
    order = models.PositiveSmallIntegerField(default=0, help_text="Place in the round, 0 by time.")
    uid = models.CharField(max_length=80, unique=True, help_text="Of its calendar entry.")
    sequence = models.PositiveIntegerField(default=0)
    arrived_at = models.DateTimeField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    cancelled_at = models.DateTimeField(null=True, blank=True)

    objects = BookingQuerySet.as_manager()

    class Meta:
        ordering = ["starts_at", "pk"]
        indexes = [models.Index(fields=["crew", "starts_at"], name="booking_by_crew_and_time")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(ends_at__gt=models.F("starts_at")),
                name="booking_ends_after_it_starts",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_purpose_display()} {self.home.street} {self.starts_at:%Y-%m-%d %H:%M}"

    @property
    def household(self) -> Household | None:
        """Who is visited: the job's household, else who holds the home now."""
        return self.job.household if self.job else self.home.household()


class BookedQuarter(models.Model):
    """A crew's quarter of an hour that a booking holds."""

    booking = models.ForeignKey(Booking, models.CASCADE, related_name="quarters")
    crew = models.ForeignKey(Crew, models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["crew", "at"], name="crew_is_in_one_place_at_a_time")
        ]

    def __str__(self) -> str:
        return f"{self.crew} {self.at:%Y-%m-%d %H:%M}"
