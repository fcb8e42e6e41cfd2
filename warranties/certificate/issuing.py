"""From a promise to its paper, in one call."""

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import Any

from warranties.certificate.paper import print_certificate
from warranties.certificate.record import certificate_record
from warranties.models import Promise


@dataclass(frozen=True, slots=True)
class Issued:
    pdf: bytes
    number: str
    sha256: str


def printed(record: dict[str, Any]) -> Issued:
    """Return the signed paper of a record. The same record and key make the same bytes."""
    # What signs takes a quarter of a second to import, as what prints does.
    from warranties.certificate.signing import signed  # noqa: PLC0415

    pdf = signed(
        print_certificate(record),
        at=datetime.fromisoformat(record["issued_at"]),
        firm=record["firm"]["name"],
        number=record["number"],
    )
    return Issued(pdf, record["number"], sha256(pdf).hexdigest())


def issue(promise: Promise, *, edition: int, at: datetime) -> Issued:
    """Return the paper that the promise would have at that moment. Keeps nothing."""
    return printed(certificate_record(promise=promise, edition=edition, at=at))
