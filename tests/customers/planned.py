"""A home that is walked, and what its editor answers."""

import re
from html import unescape
from typing import Any

from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from customers.actions import planning
from customers.models import Home
from customers.plan.document import PlanDocument

LEG = {"surface": "stucco", "strip": "glass", "strip_state": "sound"}
PIPE = {"kind": "pipe", "name": "hose bib", "leg": "leg-1", "at": "6", "clearance": "0"}


def base(home: Home) -> str:
    return planning.standing(home).base


def document(home: Home) -> PlanDocument:
    return planning.standing(home).document


def post(client: Client, home: Home, panel: str, given: dict[str, Any], **more: Any) -> Any:
    given = {"base": base(home), **given}
    return client.post(reverse("plan-panel", args=[home.pk, panel]), given, **more)


def text(response: Any) -> str:
    page = re.sub(r"<(svg|head).*?</\1>", "", response.content.decode(), flags=re.DOTALL)
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", "", page)))


def field_error(response: HttpResponse, name: str) -> str:
    """Return what stands as the error of that field, empty where nothing does."""
    found = re.search(
        rf'<ul class="errors" id="plan_{name}_error">(.*?)</ul>',
        response.content.decode(),
        re.DOTALL,
    )
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", "", found[1]))).strip() if found else ""
