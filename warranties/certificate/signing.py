"""A PAdES signature that certifies the whole file and allows no later change.

It is as repeatable as the pages: the moment is the record's, the file's second identifier comes
from the bytes before it, and ECDSA draws its number from key and message (RFC 6979). So the same
record and the same key make the same signed bytes; another key makes another signature over the
same unsigned body. An authority's time and an EC key in a token are never the same twice.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from hashlib import sha256
from io import BytesIO
from typing import Any

from asn1crypto import keys as asn1_keys
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from django.conf import settings
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign import fields, signers
from pyhanko.sign.timestamps import TimeStamper
from pyhanko_certvalidator.registry import SimpleCertificateStore

from warranties.certificate.keys import Pair, retired_certificates, signing_pair
from warranties.certificate.tokens import token_certificate, token_signer

FIELD = "Signature"
TSA_SECONDS = 10


class _Writer(IncrementalPdfFileWriter):
    """Names the new state of the file by what it was, not by chance."""

    def _update_meta(self) -> None:
        """Leave the title page's metadata as it was made: a new date would be today's."""

    @classmethod
    def _handle_id(cls, prev: PdfFileReader) -> generic.ArrayObject:
        first, _second = prev.trailer["/ID"]
        prev.stream.seek(0)
        name = sha256(prev.stream.read()).digest()[:16]
        first = getattr(first, "original_bytes", first)
        return generic.ArrayObject(
            [generic.ByteStringObject(first), generic.ByteStringObject(name)]
        )


class _Signer(signers.SimpleSigner):
    """Signs the same message with the same signature."""

    def sign_raw(self, data: bytes, digest_algorithm: str) -> bytes:
        key = serialization.load_der_private_key(self.signing_key.dump(), password=None)
        if isinstance(key, ec.EllipticCurvePrivateKey) and digest_algorithm == "sha256":
            return key.sign(data, ec.ECDSA(hashes.SHA256(), deterministic_signing=True))
        return bytes(super().sign_raw(data, digest_algorithm))


class _PdfSigner(signers.PdfSigner):
    """Signs at the moment that it is told."""

    def __init__(self, at: datetime, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.at = at

    def init_signing_session(self, *args: Any, **kwargs: Any) -> Any:
        session = super().init_signing_session(*args, **kwargs)
        session.system_time = self.at
        return session


def signed(pdf: bytes, *, at: datetime, firm: str, number: str, pair: Pair | None = None) -> bytes:
    """Return the file with the signature over all of it: the firm's, or that of `pair`.

    An authority's time is added where settings.TSA_URL names one. The number stands in the
    signature in plain bytes, so that even a damaged file names itself.
    """
    meta = signers.PdfSignatureMetadata(
        field_name=FIELD,
        md_algorithm="sha256",
        name=firm,
        reason=number,
        certify=True,
        docmdp_permissions=fields.MDPPerm.NO_CHANGES,
        subfilter=fields.SigSeedSubFilter.PADES,
    )
    out = BytesIO()
    with _own_signer() if pair is None else _signer(pair) as signer:
        _PdfSigner(at, meta, signer, timestamper=_timestamper()).sign_pdf(
            _Writer(BytesIO(pdf)), output=out
        )
    return out.getvalue()


def known_certificates() -> list[x509.Certificate]:
    """The certificates of every key that ever signed for the firm, today's first."""
    own = token_certificate() if settings.SIGNING_PKCS11_MODULE else signing_pair()[1]
    return [own, *retired_certificates()]


def _timestamper() -> TimeStamper | None:
    if not settings.TSA_URL:
        return None
    # Its HTTP client is large, and few need it.
    from pyhanko.sign.timestamps.aiohttp_client import HTTPTimeStamper  # noqa: PLC0415

    return HTTPTimeStamper(settings.TSA_URL, timeout=TSA_SECONDS)


@contextmanager
def _own_signer() -> Iterator[signers.Signer]:
    with token_signer() if settings.SIGNING_PKCS11_MODULE else _signer(signing_pair()) as signer:
        yield signer


@contextmanager
def _signer(pair: Pair) -> Iterator[_Signer]:
    key, certificate = pair
    der = key.private_bytes(
        serialization.Encoding.DER,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    yield _Signer(
        signing_cert=asn1_x509.Certificate.load(
            certificate.public_bytes(serialization.Encoding.DER)
        ),
        signing_key=asn1_keys.PrivateKeyInfo.load(der),
        cert_registry=SimpleCertificateStore(),  # type: ignore[no-untyped-call]
    )
