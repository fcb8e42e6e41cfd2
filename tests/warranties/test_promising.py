"""A promise is opened with the proof; its certificate follows the handing over."""

from datetime import timedelta
from hashlib import sha256
from io import BytesIO

import pikepdf
import pytest

from jobs.models import Job
from jobs.signals import job_handed_over, job_proved
from shared.checkdigits import read_certificate_number
from tests.factories import NOON, make_home, make_household, make_job, make_offer, make_terms
from tests.warranties.certified import make_proved_job, pdf_of
from warranties.actions import promising
from warranties.models import Promise, Terms

pytestmark = pytest.mark.django_db


def test_the_proof_opens_the_promise() -> None:
    job, proof = make_proved_job()

    job_proved.send(Job, job=job, proof=proof, at=NOON)

    promise = Promise.objects.get()
    assert (promise.home, promise.holder, promise.job) == (job.home, job.household, job)
    assert promise.number == read_certificate_number(promise.number)
    assert promise.number.startswith("RK-2026-00001-")
    assert promise.exceptions == "The gas meter at leg 2: nothing may be fixed to it."
    assert promise.basis == promise.terms.basis == "home"
    assert [change.kind for change in promise.changes.all()] == ["opened"]


def test_the_promise_keeps_the_terms_that_the_household_was_shown() -> None:
    shown = make_terms(version=1, basis="ownership", made_at=NOON - timedelta(days=30))
    make_terms(version=2, basis="home", made_at=NOON + timedelta(days=1))
    job, proof = make_proved_job()

    promise = promising.open_promise(job=job, proof=proof, at=NOON)

    assert promise is not None
    assert (promise.terms, promise.basis) == (shown, "ownership")


def test_a_spanish_household_gets_the_spanish_draft() -> None:
    home = make_home(household=make_household(language="es"))
    job, proof = make_proved_job(job=make_job(home=home))

    promise = promising.open_promise(job=job, proof=proof, at=NOON)

    assert promise is not None
    assert promise.terms.language == "es"
    assert Terms.objects.filter(paper="promise").count() == 2


def test_the_promise_speaks_the_language_of_the_sale() -> None:
    job, proof = make_proved_job()
    make_offer(job=job, state="agreed", agreed_at=NOON, language="es")

    promise = promising.open_promise(job=job, proof=proof, at=NOON)

    assert promise is not None
    assert promise.terms.language == "es"


def test_an_extension_widens_the_promise_that_stands() -> None:
    job, proof = make_proved_job()
    promise = promising.open_promise(job=job, proof=proof, at=NOON)
    later, more = make_proved_job(job=make_job(home=job.home, kind="extension"))

    assert promising.open_promise(job=later, proof=more, at=NOON) == promise
    assert Promise.objects.get().exceptions.count("gas meter") == 2


def test_a_paid_check_opens_no_promise() -> None:
    job, proof = make_proved_job(job=make_job(kind="check"))

    assert promising.open_promise(job=job, proof=proof, at=NOON) is None


def test_the_handing_over_writes_the_certificate_and_a_new_one_replaces_it() -> None:
    job, proof = make_proved_job()
    job_proved.send(Job, job=job, proof=proof, at=NOON)

    job_handed_over.send(Job, job=job, at=NOON)
    job_handed_over.send(Job, job=job, at=NOON + timedelta(days=1))

    new, old = Promise.objects.get().certificates.all()
    assert (new.edition, new.replaced_at) == (2, None)
    assert (old.edition, old.replaced_at) == (1, NOON + timedelta(days=1))
    assert new.record["fitted"] == [
        {"code": "collar", "places": "gas riser at leg 2"},
        {"code": "column-head-band", "places": "porch column, left"},
        {"code": "strip-glass", "places": "leg 1, front; leg 2, east"},
    ]
    assert new.sha256 == ""


def test_prints_once_and_keeps_what_it_printed() -> None:
    job, proof = make_proved_job()
    promise = promising.open_promise(job=job, proof=proof, at=NOON)
    assert promise is not None
    certificate = promising.issue_certificate(promise=promise, at=NOON)

    promising.print_out(certificate=certificate)
    promising.print_out(certificate=certificate)

    certificate.refresh_from_db()
    kept = pdf_of(certificate)
    assert certificate.sha256 == sha256(kept).hexdigest()
    assert certificate.file.name == f"certificates/{promise.number}-1.pdf"
    with pikepdf.open(BytesIO(kept)) as pdf:
        assert "/StructTreeRoot" in pdf.Root
