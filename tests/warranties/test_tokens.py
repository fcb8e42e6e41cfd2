"""The firm's key in a token: SoftHSM stands for one where it is installed."""

import importlib.util
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from cryptography.hazmat.primitives import serialization
from pytest_django import Settings

from tests.factories import NOON
from tests.warranties.certified import make_open_promise, pdf_of
from warranties.actions import promising
from warranties.certificate import verify
from warranties.certificate.keys import NoSigningKey, make_pair
from warranties.certificate.seal import read_seal
from warranties.certificate.signing import known_certificates
from warranties.certificate.tokens import token_signer

LABEL = "ringkeep"
MODULE = Path("/usr/lib/softhsm/libsofthsm2.so")
HAVE_TOKEN = MODULE.exists() and importlib.util.find_spec("pkcs11") is not None
needs_token = pytest.mark.skipif(not HAVE_TOKEN, reason="needs softhsm2 and python-pkcs11")


def use(settings: Settings, *, module: str, label: str = LABEL, key: str = "firm") -> None:
    settings.SIGNING_PKCS11_MODULE = module
    settings.SIGNING_PKCS11_TOKEN = label
    settings.SIGNING_PKCS11_KEY = key
    settings.SIGNING_PKCS11_PIN = "1234"


def softhsm(*options: str) -> None:
    subprocess.run(["softhsm2-util", *options, "--pin", "1234"], check=True, capture_output=True)


@pytest.fixture(scope="module")
def token(tmp_path_factory: pytest.TempPathFactory) -> Iterator[bytes]:
    """A token of this test run with a key and its certificate; the latter in DER."""
    import pkcs11  # noqa: PLC0415
    from pkcs11.util.x509 import decode_x509_certificate  # noqa: PLC0415

    folder = tmp_path_factory.mktemp("token")
    (folder / "tokens").mkdir()
    config = folder / "softhsm2.conf"
    config.write_text(f"directories.tokendir = {folder / 'tokens'}\nlog.level = ERROR\n")
    key, certificate = make_pair("Dry Creek Barrier Co.")
    der = certificate.public_bytes(serialization.Encoding.DER)
    (folder / "key.pem").write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOFTHSM2_CONF", str(config))
        softhsm("--init-token", "--free", "--label", LABEL, "--so-pin", "123456")
        key_file = str(folder / "key.pem")
        softhsm("--import", key_file, "--token", LABEL, "--label", "firm", "--id", "A1")
        found = pkcs11.lib(str(MODULE)).get_token(token_label=LABEL)
        with found.open(user_pin="1234", rw=True) as session:
            kept = {
                pkcs11.Attribute.LABEL: "firm",
                pkcs11.Attribute.ID: b"\xa1",
                pkcs11.Attribute.TOKEN: True,
            }
            session.create_object({**decode_x509_certificate(der), **kept})
        yield der


@needs_token
@pytest.mark.django_db
def test_the_tokens_key_signs_and_its_paper_is_ours(settings: Settings, token: bytes) -> None:
    use(settings, module=str(MODULE))
    certificate = promising.issue_certificate(promise=make_open_promise(), at=NOON)

    promising.print_out(certificate=certificate)

    pdf = pdf_of(certificate)
    assert read_seal(pdf).good
    assert verify(pdf).standing == "in-force"
    assert known_certificates()[0].public_bytes(serialization.Encoding.DER) == token


@needs_token
@pytest.mark.parametrize("wrong", [{"label": "another"}, {"key": "another"}])
def test_a_token_or_key_that_is_not_there_says_so(
    settings: Settings, token: bytes, wrong: dict[str, str]
) -> None:
    use(settings, module=str(MODULE), **wrong)

    with pytest.raises(NoSigningKey, match="cannot be used"), token_signer():
        pass


def test_a_module_that_is_not_there_says_so(settings: Settings, tmp_path: Path) -> None:
    use(settings, module=str(tmp_path / "none.so"))

    with pytest.raises(NoSigningKey, match="names no file"), token_signer():
        pass


def test_half_of_the_settings_says_what_is_missing(settings: Settings) -> None:
    use(settings, module=str(MODULE), key="")

    with pytest.raises(NoSigningKey, match="goes SIGNING_PKCS11_KEY"), token_signer():
        pass


@pytest.mark.skipif(
    importlib.util.find_spec("pkcs11") is not None, reason="python-pkcs11 is installed"
)
def test_without_the_package_it_says_which(settings: Settings, tmp_path: Path) -> None:
    module = tmp_path / "module.so"
    module.write_bytes(b"")
    use(settings, module=str(module))

    with pytest.raises(NoSigningKey, match="python-pkcs11"), token_signer():
        pass
