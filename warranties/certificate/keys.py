"""The firm's own key: made at the first need and kept in var/, or given as PKCS#12 by setting.

A key in a token (PKCS#11) is warranties.certificate.tokens'.

A key that is retired moves to keys/retired/ as its certificate alone (.pem): what it once signed
stays genuine.
"""

import os
import secrets
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import pkcs12
from django.conf import settings

LASTS = timedelta(days=365 * 40)
PrivateKey = ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey
Pair = tuple[PrivateKey, x509.Certificate]


class NoSigningKey(RuntimeError):
    """The key that the settings name cannot be used. The message says why."""


def signing_pair() -> Pair:
    """Return the key and its certificate. Raises NoSigningKey where the given file is no key."""
    return _given() if settings.SIGNING_P12 else _kept(Path(settings.KEYS_DIR))


def retired_certificates() -> list[x509.Certificate]:
    """The certificates of every retired key of the firm."""
    retired = sorted((Path(settings.KEYS_DIR) / "retired").glob("*.pem"))
    return [x509.load_pem_x509_certificate(path.read_bytes()) for path in retired]


def make_pair(firm: str) -> Pair:
    """Return a new EC P-256 key with a certificate that it signs itself."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, firm[:64])])
    now = datetime.now(UTC)
    usage = x509.KeyUsage(
        digital_signature=True,
        content_commitment=True,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=False,
        crl_sign=False,
        encipher_only=False,
        decipher_only=False,
    )
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + LASTS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .sign(key, hashes.SHA256())
    )
    return key, certificate


def _given() -> Pair:
    try:
        data = Path(settings.SIGNING_P12).read_bytes()
        key, certificate, _ = pkcs12.load_key_and_certificates(
            data, settings.SIGNING_P12_PASSWORD.encode() or None
        )
    except (OSError, ValueError) as error:
        raise NoSigningKey(f"SIGNING_P12 cannot be opened: {error}.") from error
    if not isinstance(key, ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey) or certificate is None:
        raise NoSigningKey("SIGNING_P12 must hold an EC or RSA key with its certificate.")
    return key, certificate


def _kept(folder: Path) -> Pair:
    path = folder / "signing.pem"
    if not path.exists():
        _make(path)
    return _read(path)


def _make(path: Path) -> None:
    """Write a new key whole or not at all; where two start at once, the first one stays."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    key, certificate = make_pair(settings.FIRM_NAME)
    text = key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    ) + certificate.public_bytes(serialization.Encoding.PEM)
    part = path.with_name(f"{secrets.token_hex(8)}.part")
    with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(text)
    try:
        os.link(part, path)
    except FileExistsError:
        pass
    finally:
        part.unlink()


@lru_cache(maxsize=8)
def _read(path: Path) -> Pair:
    data = path.read_bytes()
    key = serialization.load_pem_private_key(data, password=None)
    if not isinstance(key, ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey):
        raise NoSigningKey(f"{path.name} must hold an EC or RSA key.")
    return key, x509.load_pem_x509_certificate(data)
