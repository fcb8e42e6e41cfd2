"""The certificate of a promise: written down, printed, signed, and told from a forgery."""

from warranties.certificate.checks import print_check_plan
from warranties.certificate.issuing import Issued, issue, printed
from warranties.certificate.paper import print_certificate
from warranties.certificate.record import SCHEMA, certificate_record
from warranties.certificate.verdict import Verdict, standing_of, verify

__all__ = [
    "SCHEMA",
    "Issued",
    "Verdict",
    "certificate_record",
    "issue",
    "print_certificate",
    "print_check_plan",
    "printed",
    "standing_of",
    "verify",
]
