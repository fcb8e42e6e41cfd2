"""The warranty on pages of apps below."""

from typing import Any

from django import template
from django.utils.timezone import now

from jobs.actions.showing import showing_token
from warranties.certificate.record import common_values
from warranties.clauses import fill, read_clauses
from warranties.models import Terms

register = template.Library()


@register.inclusion_tag("warranties/_terms_shown.html")
def terms_shown(language: str) -> dict[str, Any]:
    """The newest terms in full, and inside a form the proof that they were shown. One query."""
    terms = Terms.objects.newest(language)
    if terms is None:
        return {"terms": None}
    body = fill(terms.body, common_values(terms))
    return {"terms": terms, "clauses": read_clauses(body), "shown": showing_token(now())}
