"""One table that a firm brought, on its way in, and the rows that did not make it."""

from typing import Any

from django.conf import settings
from django.db import models
from django.urls import reverse


def import_states() -> list[tuple[str, str]]:
    return [
        ("loaded", "waiting for its columns to be matched"),
        ("running", "being read"),
        ("done", "done"),
        ("stopped", "stopped by an error"),
    ]


def no_columns() -> dict[str, Any]:
    return {}


class ImportRunQuerySet(models.QuerySet["ImportRun"]):
    def take_chunk(self, run: "ImportRun", rows: int) -> bool:
        """Move the run on by a chunk; False where somebody else has moved it meanwhile.

        Call it first in the chunk's transaction: it holds the row until that ends.
        """
        mine = self.filter(pk=run.pk, state="running", rows_read=run.rows_read)
        return bool(mine.update(rows_read=models.F("rows_read") + rows))


class ImportRun(models.Model):
    """`survey` is what the file looks like (customers/importing/surveying.py).

    `columns` says how it is read: "columns" (our fields to lists of headings), "always" (what a
    row does not say), "day_first". The counts move with every chunk, in its transaction.
    """

    file = models.FileField(upload_to="imports/")
    name = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64)
    survey = models.JSONField(default=no_columns)
    columns = models.JSONField(default=no_columns)
    state = models.CharField(max_length=10, choices=import_states, default="loaded")
    rows_total = models.PositiveIntegerField(default=0)
    rows_read = models.PositiveIntegerField(default=0)
    rows_new = models.PositiveIntegerField(default=0)
    rows_known = models.PositiveIntegerField(default=0)
    rows_refused = models.PositiveIntegerField(default=0)
    homes_joined = models.PositiveIntegerField(
        default=0, help_text="Homes that came to a household which has others."
    )
    error = models.TextField(blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    created_at = models.DateTimeField(auto_now_add=True)
    moved_at = models.DateTimeField(null=True, blank=True, help_text="When a chunk last went in.")
    finished_at = models.DateTimeField(null=True, blank=True)

    objects = ImportRunQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.name}: {self.get_state_display()}"

    def get_absolute_url(self) -> str:
        return reverse("import", args=[self.pk])

    @property
    def share_read(self) -> int:
        """How much of it is read, in whole per cent."""
        return self.rows_read * 100 // self.rows_total if self.rows_total else 0


class RefusedRow(models.Model):
    """A row that could not be read, as it was, and why: kept until it comes back corrected."""

    run = models.ForeignKey(ImportRun, models.CASCADE, related_name="refused")
    number = models.PositiveIntegerField(help_text="As a spreadsheet counts the file's rows.")
    cells = models.JSONField()
    reasons = models.JSONField()

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["run", "number"], name="row_refused_once_a_run")
        ]

    def __str__(self) -> str:
        return f"row {self.number}: {' '.join(self.reasons)}"
