"""What is known of a home's outside: plans as documents, plants as things that grow."""

from typing import Any

from django.conf import settings
from django.db import models
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from customers.models.home import Home
from customers.models.photo import Photo
from customers.plan.drawing.words import in_language
from customers.plantnames import plant_said
from shared.fields import LengthField


def plan_stages() -> list[tuple[str, str]]:
    return [
        ("surveyed", _("as surveyed")),
        ("fitted", _("as fitted")),
        ("today", _("as it is today")),
    ]


def empty_document() -> dict[str, Any]:
    return {}


class Plan(models.Model):
    """One version of a home's plan; the document's shape is customers/plan/document.py.

    `revision` grows with every save; an edit made upon an older revision is refused. A plan as
    surveyed is closed with the survey: what changes after that changes the plan as it is today.
    """

    home = models.ForeignKey(Home, models.CASCADE, related_name="plans")
    stage = models.CharField(max_length=10, choices=plan_stages)
    revision = models.PositiveIntegerField(default=0)
    document = models.JSONField(default=empty_document)
    changed_at = models.DateTimeField(auto_now=True)
    changed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+"
    )
    closed_on = models.DateField(null=True, blank=True, help_text="When the survey was closed.")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["home", "stage"], name="one_plan_a_stage")]

    def __str__(self) -> str:
        return f"{self.home}: {self.get_stage_display()}, revision {self.revision}"


class PlanRevision(models.Model):
    """A document that an edit replaced: what undo goes back to, and what a late edit is told.

    `said` names the edit that replaced it. One that was undone is kept for the comparison only.
    """

    plan = models.ForeignKey(Plan, models.CASCADE, related_name="revisions")
    revision = models.PositiveIntegerField()
    document = models.JSONField()
    said = models.CharField(max_length=200)
    undone = models.BooleanField(default=False)
    replaced_at = models.DateTimeField()
    replaced_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+"
    )

    class Meta:
        ordering = ["-revision"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "revision"], name="one_document_a_revision")
        ]

    def __str__(self) -> str:
        return f"{self.plan.get_stage_display()} {self.revision}: {self.said}"


class Plant(models.Model):
    """A plant near the building; `mark` is its feature id in the home's plan ("plant-2")."""

    home = models.ForeignKey(Home, models.CASCADE, related_name="plants")
    mark = models.CharField(max_length=40)
    name = models.CharField(max_length=100, help_text="As the household calls it: star jasmine.")
    kind = models.CharField(max_length=60, help_text="Key in the growth table.")
    place = models.CharField(
        max_length=200, blank=True, help_text="In words: at leg 4, by the gate."
    )
    touches = models.CharField(max_length=100, default="building")
    needs_mm = LengthField(default=305, help_text="The clearance it is trimmed back to.")
    photo = models.ForeignKey(Photo, models.SET_NULL, null=True, blank=True, related_name="+")
    removed_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["home", "mark"], name="one_plant_a_mark")]

    def __str__(self) -> str:
        return f"{self.said} ({self.place_said})" if self.place else self.said

    @property
    def said(self) -> str:
        """Its name in the reader's language, where it is called what its kind is called."""
        return plant_said(self.name, get_language() or "en")

    @property
    def place_said(self) -> str:
        """Where it stands: "at leg 4" in the reader's language, other words as they are."""
        return in_language(self.place, _)
