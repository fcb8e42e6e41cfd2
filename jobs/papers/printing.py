"""An offer's paper as PDF: the offer, the warranty in full, the notice of cancellation twice."""

from datetime import date, datetime
from decimal import Decimal
from hashlib import sha256
from pathlib import Path
from typing import Any

from django.template.loader import render_to_string
from django.utils.translation import override

from shared.pdf import page, paper

STYLE = Path(__file__).with_name("paper.css")
SUMS = ("tax", "total", "deposit", "rest")


def as_pdf(record: dict[str, Any]) -> bytes:
    """Return the paper of a record. The same record makes the same bytes."""
    name = sha256(repr(sorted(record.items())).encode()).digest()[:16]
    with override(record["language"]):
        html = render_to_string("jobs/agreement.pdf.html", _page(record))
    return print_html(html, name=name)


def print_html(html: str, *, name: bytes) -> bytes:
    """Return the PDF of a paper about a job, PDF/UA-1. `name`, 16 bytes, is the file's own."""
    options = {"pdf_variant": "pdf/ua-1", "pdf_tags": True, "pdf_identifier": name}
    return bytes(page(html).write_pdf(**paper(STYLE), **options))


def _page(record: dict[str, Any]) -> dict[str, Any]:
    agreed = record["agreed"]
    return {
        "record": record,
        "firm": record["firm"],
        "lines": [{**each, "amount": Decimal(each["amount"])} for each in record["lines"]],
        "sums": {name: Decimal(record[name]) for name in SUMS},
        "made_on": date.fromisoformat(record["made_on"]),
        "valid_until": date.fromisoformat(record["valid_until"]),
        "latest": record["latest"],
        "signed_on": date.fromisoformat(record["signed_on"]),
        "cancel_until": date.fromisoformat(record["cancel_until"]),
        "agreed": agreed and {**agreed, "at": datetime.fromisoformat(agreed["at"])},
    }
