"""What the signature in a file says about its bytes."""

from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO

from asn1crypto import x509
from cryptography.hazmat.primitives.serialization import Encoding
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko.sign.validation.pdf_embedded import EmbeddedPdfSignature
from pyhanko.sign.validation.status import SignatureCoverageLevel
from pyhanko_certvalidator import ValidationContext

from warranties.certificate.signing import known_certificates


@dataclass(frozen=True, slots=True)
class Seal:
    """`whole`: not one signed byte differs. `ours`: made with a key of this firm. `last`: nothing
    was added to the file after it was signed."""

    found: bool = False
    whole: bool = False
    ours: bool = False
    last: bool = False

    @property
    def good(self) -> bool:
        return self.found and self.whole and self.ours and self.last


def read_seal(pdf: bytes) -> Seal:
    """Return what the file's signature says. A file that cannot be read has none."""
    try:
        signatures = PdfFileReader(BytesIO(pdf)).embedded_signatures
        return _judged(signatures[0]) if len(signatures) == 1 else Seal(found=bool(signatures))
    except Exception:  # a hostile file may break the reader in any way: then it proves nothing
        return Seal()


def _judged(signature: EmbeddedPdfSignature) -> Seal:
    ours = [each.public_bytes(Encoding.DER) for each in known_certificates()]
    context = ValidationContext(
        trust_roots=[x509.Certificate.load(der) for der in ours], allow_fetching=False
    )
    # What was added later need not be understood: nothing may be added.
    status = validate_pdf_signature(signature, context, skip_diff=True)
    whole = bool(status.intact and status.valid)
    return Seal(
        found=True,
        whole=whole,
        ours=whole and signature.signer_cert.sha256 in {sha256(der).digest() for der in ours},
        last=status.coverage == SignatureCoverageLevel.ENTIRE_FILE,
    )
