"""The papers of an offer: what it says as plain values, its code, and its PDF."""

from jobs.papers.changes import changes
from jobs.papers.printing import as_pdf
from jobs.papers.receipts import receipt_file
from jobs.papers.record import (
    Facts,
    agreed_record,
    code_of,
    offer_facts,
    register_terms,
    shown_record,
)

__all__ = [
    "Facts",
    "agreed_record",
    "as_pdf",
    "changes",
    "code_of",
    "offer_facts",
    "receipt_file",
    "register_terms",
    "shown_record",
]
