"""Photographs: checked, re-encoded, turned upright, without place unless the firm keeps it."""

import secrets

from django.conf import settings
from django.db import models

from customers.models.home import Home


def photo_path(photo: "Photo", _name: str) -> str:
    """A random name: what the sender called the file is never a path of ours."""
    return f"photos/{photo.home_id}/{secrets.token_hex(16)}.jpg"


class Photo(models.Model):
    home = models.ForeignKey(Home, models.CASCADE, related_name="photos")
    image = models.FileField(upload_to=photo_path)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)
    caption = models.CharField(max_length=200, blank=True)
    taken_at = models.DateTimeField(null=True, blank=True)
    added_at = models.DateTimeField(auto_now_add=True)
    added_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )

    def __str__(self) -> str:
        return self.caption or f"photograph {self.pk}"
