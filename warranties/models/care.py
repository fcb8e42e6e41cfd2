"""Follow-up checks, and the readings that tell how plants grow."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext as _

from customers.models import Home, Household, Photo, Plant
from jobs.models import Booking
from shared.fields import LengthField
from warranties import sealwords
from warranties.models.seal import Recall
from warranties.models.terms import Terms


class CheckPlan(models.Model):
    """The agreement to visit: a service contract, even when free (16 CFR 700.11(c)).

    It stands beside the promise with its own paper, dates and end; neither depends on the other.
    """

    number = models.CharField(max_length=20, unique=True)
    home = models.ForeignKey(Home, models.PROTECT, related_name="check_plans")
    holder = models.ForeignKey(Household, models.PROTECT, related_name="check_plans")
    terms = models.ForeignKey(Terms, models.PROTECT, related_name="check_plans")
    starts_on = models.DateField()
    ends_on = models.DateField()
    ended_on = models.DateField(null=True, blank=True, help_text="When it ended early.")

    class Meta:
        ordering = ["-starts_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(ends_on__gt=models.F("starts_on")),
                name="check_plan_ends_after_it_starts",
            )
        ]

    def __str__(self) -> str:
        return self.number


def check_kinds() -> list[tuple[str, str]]:
    return [
        ("trim", _("trim check")),
        ("seal", _("seal check")),
        ("both", _("trim and seal check")),
    ]


class Check(models.Model):
    """A follow-up visit that is due: part of the check plan, a service contract of its own."""

    home = models.ForeignKey(Home, models.CASCADE, related_name="checks")
    plan = models.ForeignKey(
        CheckPlan, models.CASCADE, null=True, blank=True, related_name="checks"
    )
    recall = models.ForeignKey(
        Recall, models.SET_NULL, null=True, blank=True, related_name="checks"
    )
    kind = models.CharField(max_length=10, choices=check_kinds)
    due_on = models.DateField()
    reason = models.CharField(max_length=200, blank=True)
    sooner = models.JSONField(
        default=dict,
        blank=True,
        help_text="Why it is due sooner than a year: kind and name of the seals, months, ratio.",
    )
    booking = models.ForeignKey(
        Booking, models.SET_NULL, null=True, blank=True, related_name="checks"
    )
    done_on = models.DateField(null=True, blank=True)
    findings = models.TextField(blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["due_on", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["plan", "due_on", "kind"], name="one_check_of_a_kind_a_day"
            ),
            models.UniqueConstraint(fields=["recall", "home"], name="one_check_a_home_and_recall"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} due {self.due_on}"

    @property
    def why(self) -> str:
        """Why it is due then, in the reader's language as far as it is ours to say."""
        if self.sooner:
            return sealwords.sooner(**self.sooner, translate=_)
        return _(self.reason) if self.reason else ""


def reading_ways() -> list[tuple[str, str]]:
    return [("tech", _("measured by us")), ("household", _("told by the household"))]


class Reading(models.Model):
    """How far a plant stood off, and how far it stood off after it was trimmed."""

    plant = models.ForeignKey(Plant, models.CASCADE, related_name="readings")
    on = models.DateField()
    clearance_mm = LengthField(
        null=True, blank=True, help_text="Empty: nobody measured before it was cut."
    )
    trimmed_to_mm = LengthField(null=True, blank=True)
    confirmed = models.BooleanField(
        default=False, help_text="Looked odd; a person was asked and stands by it."
    )
    way = models.CharField(max_length=10, choices=reading_ways, default="tech")
    photo = models.ForeignKey(Photo, models.SET_NULL, null=True, blank=True, related_name="+")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(clearance_mm=None) | models.Q(clearance_mm__gte=0),
                name="clearance_not_negative",
            ),
            models.CheckConstraint(
                condition=~models.Q(clearance_mm=None) | models.Q(trimmed_to_mm__isnull=False),
                name="reading_says_something",
            ),
        ]

    def __str__(self) -> str:
        found = self.trimmed_to_mm if self.clearance_mm is None else self.clearance_mm
        return f"{self.plant}: {found} mm on {self.on}"
