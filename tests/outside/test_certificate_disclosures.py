"""The text of an issued certificate, as pdftotext reads it, against 16 CFR 701.3(a)(1)-(9).

The nine items are written out here once more, independent of warranties.disclosures, so that a
mistake there does not hide a gap here. Also 15 USC 2303(a) (designation), 16 CFR 239.4 (whose
life), and the reading order of the tags, as poppler's pdfinfo tells it.
"""

import re
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest

from shared.firm import the_firm
from tests.warranties.certified import make_certificate, pdf_of
from warranties.clauses import Clause, read_clauses
from warranties.disclosures import Paper, faults
from warranties.models import Certificate
from warranties.wording import words

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.any_database,
    pytest.mark.skipif(not shutil.which("pdftotext"), reason="needs poppler's pdftotext"),
]

EXPECTED = {
    "en": {
        "701.3(a)(1)": "The household named on the certificate, as owner of the home named there",
        "701.3(a)(2)": "Every strip, collar, band, return, sill riser, cap and seal listed",
        "701.3(a)(2) excluded": "The gas meter at leg 2: nothing may be fixed to it.",
        "701.3(a)(3)": "we repair or replace it, and material, labour and travel are ours to pay",
        "701.3(a)(3) not paid": "We do not pay for treatment against pests",
        "701.3(a)(4) start": "March 2, 2026",
        "701.3(a)(4) event": "It starts on the day the ring was proved, shown on the certificate.",
        "701.3(a)(4) length": "It lasts as long as the house at this address stands",
        "701.3(a)(5) steps": "4. We show you what we find",
        "701.3(a)(6)": "no informal dispute settlement mechanism under 16 CFR part 703",
        "701.3(a)(7)": "Nothing here limits how long an implied warranty lasts.",
        "701.3(a)(8)": "Some States do not allow the exclusion or limitation of incidental or "
        "consequential damages, so the above limitation or exclusion may not apply to you.",
        "701.3(a)(9)": "This warranty gives you specific legal rights, and you may also have other "
        "rights which vary from State to State.",
        "2303(a)": "Limited lifetime warranty",
        "239.4": 'That is the life which the word "lifetime" in our papers means.',
        "700.10": "You need not buy any product or service, from us or from anyone",
        "S-20": "1-800-222-1222",
    },
    "es": {
        "701.3(a)(1)": "Para el hogar nombrado en el certificado",
        "701.3(a)(2)": "Cada banda, collarín, anillo de columna",
        "701.3(a)(4) start": "2 de marzo de 2026",
        "701.3(a)(8)": "Some States do not allow the exclusion or limitation of incidental or "
        "consequential damages, so the above limitation or exclusion may not apply to you.",
        "701.3(a)(9)": "This warranty gives you specific legal rights, and you may also have other "
        "rights which vary from State to State.",
        "2303(a)": "Limited lifetime warranty",
        "S-20": "1-800-222-1222",
    },
}
FACTS = ("number", "home", "holder", "starts")


def certificate_fact(certificate: Certificate, key: str) -> str:
    record = certificate.record
    return {
        "number": record["number"],
        "home": record["home"]["lines"][0],
        "holder": record["holder"],
        "starts": {"en": "March 2, 2026", "es": "2 de marzo de 2026"}[record["language"]],
    }[key]


def terms_of(certificate: Certificate) -> list[Clause]:
    return read_clauses(certificate.record["terms"]["body"])


def written(certificate: Certificate, folder: Path) -> Path:
    path = folder / "certificate.pdf"
    path.write_bytes(pdf_of(certificate))
    return path


def pages(certificate: Certificate, folder: Path) -> list[str]:
    text = subprocess.run(
        ["pdftotext", str(written(certificate, folder)), "-"],
        check=True, capture_output=True, text=True,
    ).stdout  # fmt: skip
    return [re.sub(r"\s+", " ", page) for page in text.split("\f")]


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_item_stands_in_the_one_document(language: str, tmp_path: Path) -> None:
    text = " ".join(pages(make_certificate(language=language), tmp_path))
    firm = the_firm()
    wanted = {
        **EXPECTED[language],
        "701.3(a)(5) name": firm.name,
        "701.3(a)(5) address": firm.address,
        "701.3(a)(5) telephone": firm.phone_shown,
    }

    assert [item for item, words in wanted.items() if words not in text] == []


@pytest.mark.parametrize("language", ["en", "es"])
def test_our_checker_agrees(language: str, tmp_path: Path) -> None:
    certificate = make_certificate(language=language)
    read = pages(certificate, tmp_path)
    firm = the_firm()

    found = faults(
        Paper(
            title=certificate.record["terms"]["title"],
            text=" ".join(read),
            face=read[0],
            firm=firm.name,
            contact=(firm.address, firm.phone),
            basis=certificate.promise.basis,
            headings=tuple(
                clause.title for clause in read_clauses(certificate.record["terms"]["body"])
            ),
        )
    )

    assert found == []


@pytest.mark.parametrize("language", ["en", "es"])
def test_it_is_read_in_its_order(language: str, tmp_path: Path) -> None:
    """By whoever follows the tags; the terms also by whoever follows the page, column by column."""
    certificate = make_certificate(language=language)
    tagged = subprocess.run(
        ["pdfinfo", "-struct-text", str(written(certificate, tmp_path))],
        check=True, capture_output=True, text=True,
    ).stdout  # fmt: skip
    says = words(language)
    face = [
        certificate.record["terms"]["title"].split(" (")[0],
        *(said for key in FACTS for said in (says[key], certificate_fact(certificate, key))),
        *(says[key] for key in ("fitted", "proof", "exceptions", "check")),
    ]
    terms = [
        says["terms"],
        *(line for each in terms_of(certificate) for line in (each.title, *each.text.split("\n"))),
        says["care"],
    ]
    care = [
        *(says[key] for key in ("care_lines", "care_wash", "care_call")),
        *(certificate.record["firm"][key] for key in ("name", "phone", "email")),
        *(says[key] for key in ("watch", "plant", "place", "keep")),
        "star jasmine",
    ]

    tags = " ".join(re.findall(r'"(.*)"$', tagged, re.MULTILINE))
    in_order([*face, *terms, *care], re.sub(r"\s+", " ", tags.replace(r"\"", '"')))
    in_order(terms, pages(certificate, tmp_path)[1])


def in_order(said: Sequence[str], text: str) -> None:
    at = 0
    for each in said:
        assert each in text[at:], each
        at = text.index(each, at)


@pytest.mark.skipif(not shutil.which("qpdf"), reason="needs qpdf")
def test_qpdf_finds_its_syntax_sound(tmp_path: Path) -> None:
    path = written(make_certificate(), tmp_path)

    subprocess.run(["qpdf", "--check", str(path)], check=True, capture_output=True)


def test_the_face_says_that_the_draft_is_a_draft(tmp_path: Path) -> None:
    certificate = make_certificate()

    assert "Draft terms, not reviewed by counsel." in pages(certificate, tmp_path)[0]


def test_names_from_everywhere_are_printed(tmp_path: Path) -> None:
    certificate = make_certificate(name="Łukasz Ősz-Șerban & Nguyễn <b>")

    assert "Łukasz Ősz-Șerban & Nguyễn <b>" in pages(certificate, tmp_path)[0]
