"""The pages of promises, terms and the public check."""

from datetime import date

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from tests.factories import NOON, make_promise, make_terms
from tests.warranties.certified import make_certificate, make_open_promise, pdf_of
from warranties.actions import promising
from warranties.models import Promise, Terms

pytestmark = pytest.mark.django_db


def text(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == 200
    return response.content.decode()


def test_the_list_shows_and_filters(
    office: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    promises = [make_promise() for _ in range(3)]
    ended = make_promise(state="ended", ended_on=date(2026, 5, 1))

    with django_assert_num_queries(5):  # session, user, permissions, count, rows
        page = text(office, reverse("promises") + "?state=in-force")

    assert all(promise.number in page for promise in promises)
    assert ended.number not in page


def test_the_list_finds_by_number(office: Client) -> None:
    wanted, other = make_open_promise(), make_promise()

    page = text(office, reverse("promises") + f"?find={wanted.number}")

    assert wanted.number in page
    assert other.number not in page


def test_the_record_shows_papers_callbacks_and_checks(office: Client) -> None:
    promise = make_certificate().promise

    page = text(office, promise.get_absolute_url())

    assert "Edition 1 (PDF)" in page
    assert "No callbacks." in page
    assert "CP-2026-00001" in page
    assert "nothing may be fixed to it" in page


def test_the_certificate_is_made_when_it_is_asked_for(office: Client) -> None:
    promise = make_open_promise()
    written = promising.issue_certificate(promise=promise, at=promise.changes.all()[0].at)
    assert written.sha256 == ""

    response = office.get(reverse("certificate", args=[promise.number, 1]))

    assert response.headers["Content-Type"] == "application/pdf"
    written.refresh_from_db()
    assert pdf_of(written) == response.content


def test_issues_again_and_ends(office: Client) -> None:
    promise = make_certificate().promise

    again = office.post(reverse("promise-issue", args=[promise.number]), {"reason": "Lost."})
    refused = office.post(
        reverse("promise-end", args=[promise.number]), {"reason": "", "on": "2026-05-01"}
    )
    ended = office.post(
        reverse("promise-end", args=[promise.number]), {"reason": "Burnt", "on": "2026-05-01"}
    )

    assert (again.status_code, refused.status_code, ended.status_code) == (302, 422, 302)
    promise.refresh_from_db()
    assert promise.state == "ended"
    assert promise.certificates.count() == 2


def test_a_refusal_is_shown_on_the_page(office: Client) -> None:
    promise = make_open_promise()
    plant = promise.home.plants.get()

    response = office.post(reverse("promise-suspend", args=[promise.number]), {"plant": plant.pk})

    assert response.status_code == 422
    assert "The terms ask for 3 notices" in response.content.decode()


def test_strangers_learn_the_standing_and_no_name(client: Client) -> None:
    promise = make_certificate(name="Szerban").promise

    page = text(client, reverse("check", args=[promise.number]))

    assert "Genuine and in force" in page
    assert "Szerban" not in page
    assert "Juniper" not in page


def test_strangers_learn_which_paper_stands(client: Client) -> None:
    certificate = make_certificate()
    address = reverse("check", args=[certificate.promise.number])
    assert "Its newest paper is edition 1 of 2 March 2026" in text(client, address)

    promising.issue_certificate(promise=certificate.promise, at=NOON, reason="Lost.")

    assert "Its newest paper is edition 2 of 2 March 2026" in text(client, address)
    assert "newest paper" not in text(client, reverse("check", args=["RK-2026-99999-99"]))


def test_a_new_name_asks_for_a_new_certificate(office: Client) -> None:
    promise = make_certificate(name="Ana Ortega").promise
    assert "issue it again" not in text(office, promise.get_absolute_url())
    change = reverse("household-change", args=[promise.home_id])
    assert change in text(office, promise.get_absolute_url())

    promise.holder.name = "Ana Ruiz"
    promise.holder.save()

    page = text(office, promise.get_absolute_url())
    assert "Its certificate names Ana Ortega, its holder is now Ana Ruiz: issue it again." in page
    office.post(reverse("promise-issue", args=[promise.number]), {"reason": "Married."})
    assert "issue it again" not in text(office, promise.get_absolute_url())


@pytest.mark.parametrize(
    ("state", "words"),
    [("suspended", "Genuine, suspended for now"), ("ended", "Genuine, but ended")],
)
def test_strangers_learn_of_other_standings(client: Client, state: str, words: str) -> None:
    promise = make_open_promise()
    ended_on = date(2026, 5, 1) if state == "ended" else None
    Promise.objects.filter(pk=promise.pk).update(state=state, ended_on=ended_on)

    assert words in text(client, reverse("check", args=[promise.number]))


def test_a_number_is_read_however_it_is_typed(client: Client) -> None:
    promise = make_open_promise()
    typed = promise.number.replace("-", " ").lower()

    response = client.get(reverse("check-any"), {"number": typed}, follow=True)

    assert "Genuine and in force" in response.content.decode()


def upload(client: Client, data: bytes) -> str:
    file = SimpleUploadedFile("paper.pdf", data, content_type="application/pdf")
    return client.post(reverse("check-file"), {"file": file}).content.decode()


def test_a_file_is_checked(client: Client) -> None:
    pdf = pdf_of(make_certificate())

    assert "Genuine and in force" in upload(client, pdf)
    assert "Altered" in upload(client, pdf + b"more")
    assert "Unknown to us" in upload(client, b"no pdf")


def test_a_file_that_is_too_large_is_refused(client: Client) -> None:
    assert "larger than any certificate" in upload(client, b"x" * 2_000_001)


def test_questions_are_throttled(client: Client) -> None:
    address = reverse("check", args=["RK-2026-00042-32"])

    with time_machine.travel(NOON, tick=False):
        answers = [client.get(address).status_code for _ in range(31)]

    assert answers[:30] == [200] * 30
    assert answers[30] == 429


def test_the_owner_brings_in_the_drafts_and_reads_them(owner: Client) -> None:
    owner.post(reverse("terms-drafts"))
    page = text(owner, reverse("all-terms"))

    assert "draft, not reviewed by counsel" in page
    assert Terms.objects.count() == 4
    for terms in Terms.objects.all():
        assert terms.title in text(owner, terms.get_absolute_url())


def test_new_terms_need_their_basis_and_every_item(owner: Client) -> None:
    owner.post(reverse("terms-drafts"))
    old = Terms.objects.get(paper="promise", language="en")
    address = reverse("terms-new", args=["promise", "en"])
    given = {"title": old.title, "body": old.body, "suspend_after_notices": "3"}

    without_basis = owner.post(address, given)
    incomplete = owner.post(
        address, {**given, "basis": "home", "body": old.body.replace("legal rights", "rights")}
    )
    kept = owner.post(address, {**given, "basis": "home"})

    assert without_basis.status_code == 422
    assert incomplete.status_code == 422
    assert "701.3(a)(9)" in incomplete.content.decode()
    assert kept.status_code == 302
    assert Terms.objects.get(paper="promise", language="en", version=2).basis == "home"


def test_counsels_word_goes(owner: Client) -> None:
    given = {
        "title": "Limited warranty",
        "basis": "home",
        "body": "We repair.",
        "counsel_name": "R. Vance",
        "counsel_on": "2026-02-01",
    }

    response = owner.post(reverse("terms-new", args=["promise", "en"]), given)

    assert response.status_code == 302
    assert Terms.objects.get().counsel_name == "R. Vance"


def test_counsel_is_noted_on_a_version(owner: Client) -> None:
    terms = make_terms()
    address = reverse("terms-counsel", args=["promise", "en", terms.version])

    owner.post(address, {"name": "R. Vance", "on": "2026-02-01"})

    terms.refresh_from_db()
    assert (terms.counsel_name, terms.counsel_on) == ("R. Vance", date(2026, 2, 1))


def test_the_current_certificate_is_there_for_a_window_envelope(office: Client) -> None:
    certificate = make_certificate()
    address = reverse("certificate-post", args=[certificate.promise.number])

    assert address in office.get(certificate.promise.get_absolute_url()).content.decode()
    assert office.get(address).content.startswith(b"%PDF-")


def test_without_a_certificate_there_is_none_to_post(office: Client) -> None:
    address = reverse("certificate-post", args=[make_open_promise().number])

    assert office.get(address).status_code == 404
