"""Promises on the pages of others: the home sheet, the job, my home."""

from typing import Any

from django import template

from customers.links import link_address
from customers.models import Home, HouseholdLink
from warranties.models import Promise

register = template.Library()


@register.inclusion_tag("warranties/_promises_of.html")
def promises_of(home: Home) -> dict[str, Any]:
    """The home's promises, newest first. One query."""
    return {"promises": Promise.objects.filter(home=home).order_by("-pk")}


@register.filter
def transfer_address(link: HouseholdLink | None) -> str:
    """The whole address on which a household confirms; "" where the link is gone."""
    return link_address(link, "transfer") if link else ""
