"""What a stranger may learn about a number or a file: its standing, never whose it is."""

import json
import re
import zlib
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from typing import Any

import pikepdf
from django.utils.translation import gettext as _

from shared.checkdigits import read_certificate_number
from warranties.certificate.record import ATTACHMENT
from warranties.models import Certificate, Promise

STANDINGS = ("in-force", "suspended", "ended", "replaced", "altered", "unknown")

_NUMBER = re.compile(rb"RK-[0-9]{4}-[0-9]{5,9}-[0-9]{2}")
LARGEST_RECORD = 4_000_000  # bytes; a larger attachment is none of ours


@dataclass(frozen=True, slots=True)
class Verdict:
    """`standing` is one of STANDINGS; `findings` says in words what was found."""

    standing: str
    number: str = ""
    findings: tuple[str, ...] = ()

    @property
    def genuine(self) -> bool:
        return self.standing not in {"altered", "unknown"}


def standing_of(text: str) -> Verdict:
    """Return how the promise of a number stands today, as typed by anybody. One query."""
    try:
        number = read_certificate_number(text)
    except ValueError as error:
        return Verdict("unknown", findings=(str(error),))
    promise = Promise.objects.filter(number=number).first()
    if promise is None:
        return Verdict("unknown", number, (_("We never gave out this number."),))
    return Verdict(promise.state, number)


def verify(pdf: bytes) -> Verdict:
    """Return what a file is: ours byte for byte, ours but altered (and how), or unknown."""
    kept = Certificate.objects.filter(sha256=sha256(pdf).hexdigest()).select_related("promise")
    if certificate := kept.first():
        return _standing(certificate)
    record = attached_record(pdf)
    number = _claimed_number(pdf, record)
    seal = _seal_of(pdf)
    issued = Certificate.objects.filter(promise__number=number).exclude(sha256="")
    if number and not issued.exists() and seal.good:
        # Signed by us, yet not in our books: they were restored from an older day.
        verdict = standing_of(number)
        return Verdict(verdict.standing, number, (_("It carries our signature."),))
    if not number or not (issued.exists() or seal.ours):
        return Verdict("unknown", number, (_("It names no certificate that we issued."),))
    return Verdict("altered", number, tuple(_changes(seal, record, number)))


def _seal_of(pdf: bytes) -> Any:
    """What reads signatures takes a quarter of a second to import: most files are in our books."""
    from warranties.certificate.seal import read_seal  # noqa: PLC0415

    return read_seal(pdf)


def attached_record(pdf: bytes) -> dict[str, Any]:
    """Return the record attached to a file, nothing where there is none that can be read."""
    try:
        with pikepdf.open(BytesIO(pdf)) as opened:
            stream = opened.attachments[ATTACHMENT].get_file().obj
            unpacked = zlib.decompressobj().decompress(stream.read_raw_bytes(), LARGEST_RECORD)
            record = json.loads(unpacked)
    except Exception:  # as in read_seal: whatever breaks the reader is no record
        return {}
    return record if isinstance(record, dict) else {}


def _standing(certificate: Certificate) -> Verdict:
    promise = certificate.promise
    if certificate.replaced_at is None:
        return Verdict(promise.state, promise.number)
    moved = promise.changes.filter(kind="transferred", at__gte=certificate.issued_at).exists()
    why = (
        _("The promise has passed to the home's next household.")
        if moved
        else _("A newer edition was issued.")
    )
    standing = "ended" if promise.state == "ended" else "replaced"
    return Verdict(standing, promise.number, (why,))


def _claimed_number(pdf: bytes, record: dict[str, Any]) -> str:
    """The number of ours that a file names: in its record, else anywhere in its bytes.

    In the signature its dashes are written as octal, as PDF strings may be.
    """
    written = [str(record.get("number", ""))]
    written += [found.decode() for found in _NUMBER.findall(pdf.replace(rb"\055", b"-"))[:20]]
    for text in written:
        try:
            return read_certificate_number(text)
        except ValueError:
            continue
    return ""


def _changes(seal: Any, record: dict[str, Any], number: str) -> list[str]:
    """Say how a file differs from what we issued, without saying what ours says."""
    findings = []
    if not seal.found:
        findings.append(_("It carries no signature that can be read."))
    elif not seal.whole:
        findings.append(_("Its bytes were changed after it was signed."))
    elif not seal.ours:
        findings.append(_("It was signed with a key that is not ours."))
    if seal.found and not seal.last:
        findings.append(_("Something was added after it was signed."))
    edition = record.get("edition")
    certificate = Certificate.objects.filter(
        promise__number=number, edition=edition if isinstance(edition, int) else 0
    ).first()
    if certificate and (differing := _differing(record, certificate.record)):
        findings.append(_("Its record differs from ours in: %s.") % ", ".join(differing))
    return findings or [_("Its bytes are not those of the file that we issued.")]


def _differing(theirs: dict[str, Any], ours: dict[str, Any]) -> list[str]:
    return sorted(key for key in {*theirs, *ours} if theirs.get(key) != ours.get(key))
