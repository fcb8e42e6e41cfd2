"""An issued certificate is read off its own pages, and what the law misses there is named."""

from decimal import Decimal
from io import StringIO
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from tests.warranties.certified import make_certificate, pdf_of
from warranties.certificate.paper import print_certificate
from warranties.certificate.reading import page_texts, paper_faults
from warranties.models import Certificate

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_shipped_certificate_lacks_nothing(language: str) -> None:
    certificate = make_certificate(language=language)

    assert paper_faults(certificate, pdf_of(certificate)) == []


def without(certificate: Certificate, clause: str) -> bytes:
    """Its pages as they come out where the terms lack a clause."""
    terms = certificate.record["terms"]
    parts = terms["body"].split("\n## ")
    kept = [part for part in parts if not part.removeprefix("## ").startswith(clause)]
    assert len(kept) == len(parts) - 1
    return printed_anew(certificate, body="\n## ".join(kept))


def printed_anew(certificate: Certificate, **terms: Any) -> bytes:
    certificate.record["terms"] = {**certificate.record["terms"], **terms}
    return print_certificate(certificate.record)


@pytest.mark.parametrize(
    ("clause", "rules"),
    [
        ("How to get it", ["701.3(a)(5)"]),
        ("What we do when it fails", ["701.3(a)(3)"]),
    ],
)
def test_a_clause_that_was_left_out_is_named(clause: str, rules: list[str]) -> None:
    certificate = make_certificate()

    found = paper_faults(certificate, without(certificate, clause))

    assert [fault.rule for fault in found] == rules


@pytest.mark.parametrize(
    ("price", "rules"),
    [
        ("0.00", ["2303(a)", "701.3(a)(5)"]),
        ("10.00", []),
        ("10.01", ["2303(a)"]),
        ("15.00", ["2303(a)"]),
        ("15.01", ["2303(a)", "701.3(a)(5)"]),
    ],
)
def test_the_price_before_tax_says_what_is_due(price: str, rules: list[str]) -> None:
    """15 USC 2303(d), 16 CFR 701.3(a): 10 and 15 dollars; work done again for nothing adds none."""
    certificate = make_certificate()
    assert certificate.promise.job is not None
    certificate.promise.job.revenue = Decimal(price)
    certificate.record["terms"]["title"] = "Lifetime warranty"

    found = paper_faults(certificate, without(certificate, "How to get it"))

    assert [fault.rule for fault in found] == rules


def test_words_stand_page_by_page() -> None:
    face, back = page_texts(pdf_of(make_certificate()))

    assert face.startswith("Dry Creek Barrier Co. Limited lifetime warranty")
    assert back.startswith("The terms in full")


def keep(certificate: Certificate, pdf: bytes) -> None:
    certificate.file.delete(save=False)
    certificate.file.save("lacking.pdf", ContentFile(pdf))


def test_the_page_names_what_is_due_and_what_is_missing(
    office: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    certificate = make_certificate()
    address = reverse("certificate-read", args=[certificate.promise.number, 1])
    whole = office.get(address).content.decode()
    keep(certificate, without(certificate, "How to get it"))

    with django_assert_num_queries(4):  # session, user, permissions, certificate
        lacking = office.get(address).content.decode()

    assert "Nothing that is due is missing" in whole
    assert "701.3(a)(5)" in lacking
    assert "step-by-step explanation" in lacking


def test_all_certificates_are_read_by_one_command() -> None:
    whole, lacking = make_certificate(), make_certificate(street="16 Juniper Bend")
    said = StringIO()
    call_command("read_certificates", stdout=said)
    assert said.getvalue() == "2 certificates read; nothing is missing.\n"
    keep(lacking, without(lacking, "How to get it"))

    with pytest.raises(CommandError, match="1 of 2"):
        call_command("read_certificates", stdout=said)

    assert f"{lacking}: 701.3(a)(5)" in said.getvalue()
    assert f"{whole}: " not in said.getvalue()
