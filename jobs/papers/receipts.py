"""The receipt of a payment as PDF, in the household's language."""

from decimal import Decimal
from hashlib import sha256
from typing import Any

from django.template.loader import render_to_string
from django.utils.translation import gettext, override

from jobs.models import Payment
from jobs.papers.printing import print_html
from shared.firm import the_firm


def receipt_file(payment: Payment, *, left: Decimal, language: str) -> tuple[str, bytes]:
    """Return the paper's name and bytes. The same facts make the same bytes.

    `left` is what is still to be paid. Job, home and household are loaded.
    """
    facts: dict[str, Any] = {
        "firm": the_firm(),
        "payment": payment,
        "job": payment.job,
        "amount": abs(payment.amount),
        "left": max(left, Decimal(0)),
        "language": language,
    }
    with override(language):
        html = render_to_string("jobs/receipt.pdf.html", facts)
        name = f"{gettext('receipt')}-{payment.pk}.pdf"
    return name, print_html(html, name=sha256(html.encode()).digest()[:16])
