"""The warranty on pages of apps below."""

from typing import Any

from django import template
from django.utils.timezone import now

from jobs.actions.showing import showing_token
from warranties.models import Terms

register = template.Library()


@register.inclusion_tag("warranties/_terms_shown.html")
def terms_shown(language: str) -> dict[str, Any]:
    """The newest terms in full, and inside a form the proof that they were shown. One query."""
    terms = Terms.objects.newest(language)
    return {"terms": terms, "shown": showing_token(now()) if terms else ""}
