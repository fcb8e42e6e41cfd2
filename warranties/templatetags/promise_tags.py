"""Promises on the pages of others: the home sheet, the job, my home."""

from typing import Any

from django import template
from django.db.models import Prefetch

from customers.links import link_address, link_token
from customers.models import Home, Household, HouseholdLink
from warranties.models import Callback, Promise, Transfer, TransferVoice
from warranties.proposing import proposal_for

register = template.Library()


@register.filter
def transfer_address(link: HouseholdLink | None) -> str:
    """The whole address on which a household confirms; "" where the link is gone."""
    return link_address(link) if link else ""


@register.filter
def transfer_token(link: HouseholdLink) -> str:
    return link_token(link)


@register.inclusion_tag("warranties/_proposal.html")
def proposal(callback: Callback) -> dict[str, Any]:
    """Who should pay, by the promise's own terms. Up to six queries."""
    return {"proposal": proposal_for(callback)}


@register.inclusion_tag("warranties/_sold.html")
def sold(home: Home, household: Household, token: str) -> dict[str, Any]:
    """Where a household says that it sold the home, or how far that has come. Three queries."""
    promises = Promise.objects.standing().filter(home=home, basis="home").shown_to(household)
    voices = TransferVoice.objects.filter(household=household).select_related("link")
    ways = Transfer.objects.open().prefetch_related(Prefetch("voices", voices, "mine"))
    held = promises.prefetch_related(Prefetch("transfers", ways, "on_their_way"))
    return {"promises": held, "token": token}
