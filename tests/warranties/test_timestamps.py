"""A time authority confirms when a certificate was signed; it is a real server on loopback."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, HTTPServer
from io import BytesIO

import pytest
from asn1crypto import keys, tsp
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import rsa
from cryptography.x509.oid import ExtendedKeyUsageOID
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.timestamps import DummyTimeStamper, TimestampRequestError
from pytest_django import Settings

from tests.factories import NOON
from tests.warranties.certified import make_open_promise, pdf_of
from warranties.actions import promising
from warranties.certificate import verify
from warranties.certificate.seal import read_seal
from warranties.certificate.signing import FIELD
from warranties.models import Certificate

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]
CONFIRMED = datetime(2026, 3, 2, 19, 4, 5, tzinfo=UTC)


def make_authority() -> DummyTimeStamper:
    key = rsa.generate_private_key(public_exponent=65537, key_size=2048)
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "An invented authority")])
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(7)
        .not_valid_before(datetime(2020, 1, 1, tzinfo=UTC))
        .not_valid_after(datetime(2060, 1, 1, tzinfo=UTC))
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.TIME_STAMPING]), critical=True)
        .sign(key, hashes.SHA256())
    )
    der = key.private_bytes(
        serialization.Encoding.DER,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    return DummyTimeStamper(
        tsa_cert=asn1_x509.Certificate.load(certificate.public_bytes(serialization.Encoding.DER)),
        tsa_key=keys.PrivateKeyInfo.load(der),
        fixed_dt=CONFIRMED,
    )


@contextmanager
def authority(*, kind: str = "application/timestamp-reply") -> Iterator[str]:
    """Its address while it listens."""
    stamper = make_authority()

    class Answer(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            asked = self.rfile.read(int(self.headers["Content-Length"]))
            given = stamper.request_tsa_response(tsp.TimeStampReq.load(asked)).dump()
            self.send_response(200)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(given)))
            self.end_headers()
            self.wfile.write(given)

        def log_message(self, format: str, *args: object) -> None:  # noqa: A002
            """Say nothing."""

    server = HTTPServer(("127.0.0.1", 0), Answer)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def make_written() -> Certificate:
    return promising.issue_certificate(promise=make_open_promise(), at=NOON)


def test_the_authority_confirms_the_moment(settings: Settings) -> None:
    certificate = make_written()
    with authority() as address:
        settings.TSA_URL = address
        promising.print_out(certificate=certificate)

    pdf = pdf_of(certificate)
    signature = PdfFileReader(BytesIO(pdf)).embedded_signatures[0]
    assert signature.field_name == FIELD
    (token,) = [
        attribute["values"][0]["content"]
        for attribute in signature.signer_info["unsigned_attrs"]
        if attribute["type"].native == "signature_time_stamp_token"
    ]
    assert token["encap_content_info"]["content"].parsed["gen_time"].native == CONFIRMED
    assert read_seal(pdf).good
    assert verify(pdf).standing == "in-force"


def test_a_certificate_waits_while_the_authority_does_not_answer(settings: Settings) -> None:
    certificate = make_written()
    with authority() as gone:
        settings.TSA_URL = gone

    with pytest.raises(TimestampRequestError):
        promising.print_out(certificate=certificate)

    assert list(Certificate.objects.unprinted()) == [certificate]


def test_an_answer_of_another_kind_is_refused(settings: Settings) -> None:
    certificate = make_written()
    with authority(kind="text/html") as address:
        settings.TSA_URL = address
        with pytest.raises(TimestampRequestError):
            promising.print_out(certificate=certificate)
