"""What the pages about homes show beside their own: pieces that apps above bring."""

from django import template
from django.template import RequestContext
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from customers import sheet
from customers.links import link_address
from customers.models import Home, HouseholdLink

register = template.Library()


@register.simple_tag(takes_context=True)
def pieces(context: RequestContext, place: sheet.Place, home: Home) -> SafeString:
    """The pieces that apps above registered for that place of the home sheet."""
    request = context["request"]
    parts = (
        render_to_string(piece.template, {**piece.facts(home), "home": home}, request).strip()
        for piece in sheet.pieces(place)
    )
    return mark_safe("".join(parts))  # noqa: S308  # each is a rendered template


@register.filter
def address(link: HouseholdLink) -> str:
    """The link's whole address, as the household gets it."""
    return link_address(link)
