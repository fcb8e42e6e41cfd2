"""The firm's key in a token or a module of hardware, reached by PKCS#11.

The key never leaves the token. An RSA key signs the same bytes the same way; an EC key in a token
draws its own number each time, so a certificate made again from its record differs in its
signature alone. python-pkcs11 is needed for this alone and is installed by who uses it.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any

from cryptography import x509
from django.conf import settings
from pyhanko.sign import signers

from warranties.certificate.keys import NoSigningKey

NEEDED = ("SIGNING_PKCS11_TOKEN", "SIGNING_PKCS11_KEY")


@contextmanager
def token_signer() -> Iterator[signers.Signer]:
    """Yield what signs with the token's key. Raises NoSigningKey where it cannot be reached."""
    module = settings.SIGNING_PKCS11_MODULE
    if missing := [name for name in NEEDED if not getattr(settings, name)]:
        raise NoSigningKey(f"With SIGNING_PKCS11_MODULE goes {' and '.join(missing)}.")
    if not Path(module).is_file():
        raise NoSigningKey(f"SIGNING_PKCS11_MODULE names no file: {module}.")
    try:
        # Not everybody has it.
        from pyhanko.sign import pkcs11 as tokens  # noqa: PLC0415
    except ImportError as error:
        raise NoSigningKey("A key in a token needs the package python-pkcs11.") from error
    with _session(tokens) as session:
        signer = tokens.PKCS11Signer(session, key_label=settings.SIGNING_PKCS11_KEY)
        try:
            found = signer.signing_cert
        except Exception as error:  # the module's own, of any kind
            raise _unreachable(error) from error
        if found is None:
            raise NoSigningKey("The token holds no certificate under SIGNING_PKCS11_KEY.")
        # Every token signs a digest with an EC key; few make the digest too.
        signer.use_raw_mechanism = found.public_key.algorithm == "ec"
        yield signer


def token_certificate() -> x509.Certificate:
    """Return the certificate beside the token's key, read once. Raises NoSigningKey."""
    return _certificate(
        settings.SIGNING_PKCS11_MODULE, settings.SIGNING_PKCS11_TOKEN, settings.SIGNING_PKCS11_KEY
    )


@lru_cache(maxsize=4)
def _certificate(_module: str, _token: str, _key: str) -> x509.Certificate:
    with token_signer() as signer:
        found = signer.signing_cert
        if found is None:
            raise NoSigningKey("The token holds no certificate under SIGNING_PKCS11_KEY.")
        return x509.load_der_x509_certificate(found.dump())


@contextmanager
def _session(tokens: Any) -> Iterator[Any]:
    criteria = tokens.TokenCriteria(label=settings.SIGNING_PKCS11_TOKEN)
    try:
        session = tokens.open_pkcs11_session(
            settings.SIGNING_PKCS11_MODULE,
            token_criteria=criteria,
            user_pin=settings.SIGNING_PKCS11_PIN or None,
        )
    except Exception as error:  # the module's own, of any kind
        raise _unreachable(error) from error
    with session:
        yield session


def _unreachable(error: Exception) -> NoSigningKey:
    return NoSigningKey(f"The token cannot be used: {type(error).__name__} {error}".strip())
