"""What was really fitted, with its photographs, and the proof that the ring is closed."""

from typing import Any

from django.conf import settings
from django.db import models
from django.utils.translation import gettext as _

from customers.models import Photo
from jobs.asfitted import LEAVE_NO_SEAL
from jobs.models.job import Job
from jobs.models.prices import price_codes


def detail_states() -> list[tuple[str, str]]:
    return [("sound", _("sound")), ("damaged", _("damaged")), ("unknown", _("not known"))]


SEALED = ~models.Q(code__in=LEAVE_NO_SEAL)  # Details that are bonded to something.


class FittedDetail(models.Model):
    """One detail fitted at a place of the plan ("leg-4", "pipe-1")."""

    job = models.ForeignKey(Job, models.CASCADE, related_name="fitted_details")
    mark = models.CharField(max_length=40, help_text="The leg or feature in the plan.")
    code = models.CharField(max_length=40, help_text="The detail, as in the price book.")
    place = models.CharField(max_length=200, help_text="In words.")
    lot = models.CharField(max_length=40, blank=True, help_text="Sealant lot.")
    surface = models.CharField(
        max_length=40, blank=True, help_text="What it is bonded to, as in the plan."
    )
    exposure = models.CharField(
        max_length=10,
        blank=True,
        help_text="The side that its wall faces, or indoors.",
    )
    state = models.CharField(max_length=10, choices=detail_states, default="sound")
    photos = models.ManyToManyField(Photo, related_name="+", blank=True)
    fitted_at = models.DateTimeField()
    fitted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["job", "mark", "code"], name="detail_fitted_once_a_place"
            )
        ]
        indexes = [
            models.Index(fields=["lot", "job"], name="detail_lot", condition=~models.Q(lot=""))
        ]

    def __str__(self) -> str:
        return f"{self.what}, {self.place}"

    @property
    def what(self) -> str:
        """The detail as the price book names it."""
        return dict(price_codes()).get(self.code, self.code)


def no_document() -> dict[str, Any]:
    return {}


class Proof(models.Model):
    """A ring check on what was really fitted. A job is handed over only with one."""

    job = models.OneToOneField(Job, models.CASCADE, related_name="proof")
    proved_at = models.DateTimeField()
    proved_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+"
    )
    plan = models.JSONField(default=no_document, help_text="The plan as fitted, that day.")
    exceptions = models.TextField(blank=True, help_text="What the ring leaves out, in words.")

    def __str__(self) -> str:
        return f"{self.job} proved {self.proved_at:%Y-%m-%d}"
