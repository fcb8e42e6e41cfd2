"""The signed links by which a household comes in without an account."""

import secrets
from datetime import datetime
from typing import Self

from django.db import models

from customers.models.household import Household


def new_key() -> str:
    """24 bytes, 192 bits: ASVS 5.0 V11.5.1 asks for 128 from a secure source."""
    return secrets.token_urlsafe(24)


class HouseholdLinkQuerySet(models.QuerySet["HouseholdLink"]):
    def valid(self, at: datetime) -> Self:
        return self.filter(revoked_at=None, expires_at__gt=at)


class HouseholdLink(models.Model):
    """One household's way in. The address carries the key with a signature (customers/links.py)."""

    household = models.ForeignKey(Household, models.CASCADE, related_name="links")
    key = models.CharField(max_length=40, unique=True, default=new_key)
    purpose = models.CharField(max_length=40, default="my home")
    created_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    objects = HouseholdLinkQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.household}: {self.purpose} until {self.expires_at:%Y-%m-%d}"
