"""One table that a firm brought, on its way in."""

from typing import Any

from django.conf import settings
from django.db import models


def import_states() -> list[tuple[str, str]]:
    return [
        ("loaded", "waiting for its columns to be matched"),
        ("running", "being read"),
        ("done", "done"),
        ("stopped", "stopped by an error"),
    ]


def no_columns() -> dict[str, Any]:
    return {}


class ImportRun(models.Model):
    """`columns` maps our fields to the file's headings; the counts move while it runs."""

    file = models.FileField(upload_to="imports/")
    name = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64)
    columns = models.JSONField(default=no_columns)
    state = models.CharField(max_length=10, choices=import_states, default="loaded")
    rows_total = models.PositiveIntegerField(default=0)
    rows_read = models.PositiveIntegerField(default=0)
    rows_new = models.PositiveIntegerField(default=0)
    rows_known = models.PositiveIntegerField(default=0)
    rows_refused = models.PositiveIntegerField(default=0)
    refused_file = models.FileField(upload_to="imports/", blank=True)
    error = models.TextField(blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    created_at = models.DateTimeField(auto_now_add=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.name}: {self.get_state_display()}"
