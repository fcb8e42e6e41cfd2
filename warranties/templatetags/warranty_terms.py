"""The warranty on pages and papers of apps below."""

from collections.abc import Mapping
from typing import Any

from django import template

from warranties.clauses import read_clauses

register = template.Library()


@register.inclusion_tag("warranties/_terms_shown.html")
def terms_text(terms: Mapping[str, Any]) -> dict[str, Any]:
    """Terms in full, as they were written down with an offer. No query."""
    return {"terms": terms, "clauses": read_clauses(terms["body"])}
