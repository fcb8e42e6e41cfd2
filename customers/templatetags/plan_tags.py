"""What a plan's own modules say, in the reader's language."""

from django import template
from django.utils.translation import gettext

from customers.plan.drawing.words import in_language
from customers.plan.ring import WayIn

register = template.Library()


@register.filter
def placed(words: str) -> str:
    """A surface or a place: "leg 3", "ground"; what people named stays theirs."""
    return in_language(words, gettext)


@register.filter
def said(way: WayIn) -> str:
    """A way in from surface to surface."""
    return way.said(gettext)
