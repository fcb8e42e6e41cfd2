"""Promises on the pages of others: the home sheet, the job, my home."""

from datetime import date
from typing import Any

from django import template
from django.conf import settings
from django.db.models import Prefetch
from django.utils.formats import date_format
from django.utils.translation import gettext

from customers.links import link_address, link_token
from customers.models import Home, Household, HouseholdLink
from shared.length import Length, length_text
from warranties.certificate.record import terms_values
from warranties.clauses import fill
from warranties.decision import Fact
from warranties.models import Callback, Promise, Transfer, TransferVoice
from warranties.proposing import proposal_for
from warranties.wording import words

register = template.Library()


@register.filter
def transfer_address(link: HouseholdLink | None) -> str:
    """The whole address on which a household confirms; "" where the link is gone."""
    return link_address(link) if link else ""


@register.filter
def transfer_token(link: HouseholdLink) -> str:
    return link_token(link)


@register.filter
def said(fact: Fact) -> str:
    """A fact in the reader's language; what people typed stays as they typed it."""
    return fact.said(gettext, _shown)


def _shown(value: object) -> str:
    if isinstance(value, date):
        return date_format(value)
    return length_text(value, settings.FIRM_UNITS) if isinstance(value, Length) else str(value)


@register.inclusion_tag("warranties/_proposal.html")
def proposal(callback: Callback) -> dict[str, Any]:
    """Who should pay, by the promise's own terms. Up to fifteen queries."""
    found, promise = proposal_for(callback), callback.promise
    life = words(promise.terms.language)[f"life-{promise.basis}"]
    return {
        "proposal": found,
        "text": fill(found.text, terms_values(promise.terms, promise.home, life)),
    }


@register.inclusion_tag("warranties/_sold.html")
def sold(home: Home, household: Household, token: str) -> dict[str, Any]:
    """Where a household says that it sold the home, or how far that has come. Three queries."""
    promises = Promise.objects.standing().filter(home=home, basis="home").shown_to(household)
    voices = TransferVoice.objects.filter(household=household).select_related("link")
    ways = Transfer.objects.open().prefetch_related(Prefetch("voices", voices, "mine"))
    held = promises.prefetch_related(Prefetch("transfers", ways, "on_their_way"))
    return {"promises": held, "token": token}
