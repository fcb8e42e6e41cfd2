"""The signed links by which a household comes in without an account."""

import secrets
from datetime import datetime
from typing import Self

from django.db import models

from customers.models.household import Household


def new_key() -> str:
    """24 bytes, 192 bits: ASVS 5.0 V11.5.1 asks for 128 from a secure source."""
    return secrets.token_urlsafe(24)


def purposes() -> list[tuple[str, str]]:
    return [("my home", "my home"), ("offer", "offer"), ("transfer", "promise passed on")]


class HouseholdLinkQuerySet(models.QuerySet["HouseholdLink"]):
    def valid(self, at: datetime) -> Self:
        return self.filter(revoked_at=None, expires_at__gt=at)


class HouseholdLink(models.Model):
    """One household's way in. The address carries the key with a signature (customers/links.py).

    It opens the pages of its `purpose` only; `about` names the job, promise or notice behind it.
    """

    household = models.ForeignKey(Household, models.CASCADE, related_name="links")
    key = models.CharField(max_length=40, unique=True, default=new_key)
    purpose = models.CharField(max_length=10, choices=purposes, default="my home")
    about = models.CharField(max_length=40, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    objects = HouseholdLinkQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.household}: {self.what_for} until {self.expires_at:%Y-%m-%d}"

    @property
    def what_for(self) -> str:
        return f"{self.get_purpose_display()} {self.about}".strip()
