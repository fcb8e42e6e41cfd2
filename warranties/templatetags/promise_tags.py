"""Promises on the pages of others: the home sheet, the job, my home."""

from typing import Any

from django import template

from customers.links import link_address
from customers.models import HouseholdLink
from warranties.models import Callback
from warranties.proposing import proposal_for

register = template.Library()


@register.filter
def transfer_address(link: HouseholdLink | None) -> str:
    """The whole address on which a household confirms; "" where the link is gone."""
    return link_address(link, "transfer") if link else ""


@register.inclusion_tag("warranties/_proposal.html")
def proposal(callback: Callback) -> dict[str, Any]:
    """Who should pay, by the promise's own terms. Up to six queries."""
    return {"proposal": proposal_for(callback)}
