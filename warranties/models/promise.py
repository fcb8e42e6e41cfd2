"""The promise to repair, and everything that ever changed its standing."""

from typing import Self

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext as _
from simple_history.models import HistoricalRecords

from customers.models import Home, Household, Ownership
from jobs.models import Job
from warranties.models.terms import Terms, bases


def promise_states() -> list[tuple[str, str]]:
    return [("in-force", "in force"), ("suspended", "suspended"), ("ended", "ended")]


class PromiseQuerySet(models.QuerySet["Promise"]):
    def in_force(self) -> Self:
        return self.filter(state="in-force")

    def shown_to(self, household: Household) -> Self:
        """Those that a household holds, or whose holder owns the home together with it now."""
        owners = Ownership.objects.filter(home=models.OuterRef("home"), until=None)
        beside = models.Q(models.Exists(owners.filter(household=household)))
        held = models.Q(models.Exists(owners.filter(household=models.OuterRef("holder"))))
        return self.filter(models.Q(holder=household) | (beside & held))

    def standing(self) -> Self:
        """In force or suspended: what can still be called upon or come back."""
        return self.exclude(state="ended")


class Promise(models.Model):
    """The repair promise for one home. `holder` is the household that holds it now."""

    number = models.CharField(max_length=20, unique=True)
    home = models.ForeignKey(Home, models.PROTECT, related_name="promises")
    holder = models.ForeignKey(Household, models.PROTECT, related_name="promises")
    job = models.OneToOneField(Job, models.PROTECT, null=True, blank=True, related_name="promise")
    terms = models.ForeignKey(Terms, models.PROTECT, related_name="promises")
    basis = models.CharField(max_length=20, choices=bases)
    state = models.CharField(max_length=10, choices=promise_states, default="in-force")
    starts_on = models.DateField()
    ended_on = models.DateField(null=True, blank=True)
    exceptions = models.TextField(blank=True)

    history = HistoricalRecords()
    objects = PromiseQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(basis=""), name="promise_names_whose_life_it_lasts"
            ),
            models.CheckConstraint(
                condition=models.Q(state="ended", ended_on__isnull=False)
                | (~models.Q(state="ended") & models.Q(ended_on=None)),
                name="ended_promise_has_its_day",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    def get_absolute_url(self) -> str:
        return reverse("promise", args=[self.number])


def holders(promise: Promise) -> list[Household]:
    """Its holder, and whoever owns the home together with them now.

    While the home has changed hands and the promise has not, its holder alone. Two queries.
    """
    owners = promise.home.owners()
    beside = [each for each in owners if each != promise.holder] if promise.holder in owners else []
    return [promise.holder, *beside]


def named_holders(promise: Promise) -> str:
    """The names of its holders, parted by commas. Two queries."""
    return ", ".join(each.name for each in holders(promise))


def change_kinds() -> list[tuple[str, str]]:
    return [
        ("opened", _("opened")),
        ("extended", _("extended")),
        ("issued", _("certificate issued")),
        ("suspended", _("suspended")),
        ("reinstated", _("reinstated")),
        ("transferred", _("transferred")),
        ("renamed", _("name changed")),
        ("ended", _("ended")),
    ]


class PromiseChange(models.Model):
    """One thing that happened to a promise. Never edited, never deleted."""

    promise = models.ForeignKey(Promise, models.CASCADE, related_name="changes")
    at = models.DateTimeField()
    kind = models.CharField(max_length=20, choices=change_kinds)
    reason = models.CharField(max_length=500, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.promise} {self.get_kind_display()}"
