"""Many certificates at once: by worker, by sweep, by command; stopped and begun again."""

from datetime import timedelta
from io import StringIO
from typing import Any
from unittest.mock import patch

import pytest
from django.core.management import CommandError, call_command
from kombu.exceptions import OperationalError

from tests.factories import NOON
from tests.warranties.certified import make_certificate, make_open_promise, pdf_of
from warranties import tasks
from warranties.actions import promising, standing, terming
from warranties.models import Certificate, Promise

pytestmark = pytest.mark.django_db
COMMAND = "warranties.management.commands.print_certificates"


def test_the_sweep_prints_what_waits_and_goes_on_after_one_that_fails() -> None:
    promise = make_open_promise()
    broken = promising.issue_certificate(promise=promise, at=NOON)
    Certificate.objects.filter(pk=broken.pk).update(record={})
    good = promising.issue_certificate(promise=promise, at=NOON)

    tasks.print_waiting_certificates()

    good.refresh_from_db()
    broken.refresh_from_db()
    assert good.sha256
    assert broken.sha256 == ""


def test_two_workers_keep_one_file() -> None:
    certificate = promising.issue_certificate(promise=make_open_promise(), at=NOON)
    twin = Certificate.objects.get(pk=certificate.pk)

    promising.print_out(certificate=certificate)
    promising.print_out(certificate=twin)

    assert twin.file.name == certificate.file.name
    assert len(list(certificate.file.storage.listdir("certificates")[1])) == 1
    assert pdf_of(twin).startswith(b"%PDF-1.7")


def test_the_command_has_nothing_to_do_twice() -> None:
    make_certificate()
    out = StringIO()

    call_command("print_certificates", processes=1, stdout=out)

    assert out.getvalue() == "0 to print.\n"


def test_without_a_broker_nothing_is_lost() -> None:
    certificate = promising.issue_certificate(promise=make_open_promise(), at=NOON)
    refused = OperationalError("no broker")

    with patch.object(tasks.print_certificate, "apply_async", side_effect=refused):
        tasks.print_soon(certificate.pk)

    assert list(Certificate.objects.unprinted()) == [certificate]


def test_the_command_tells_how_far_it_is_and_goes_on_where_it_was_stopped() -> None:
    promise = make_open_promise()
    made = [promising.issue_certificate(promise=promise, at=NOON) for _ in range(3)]
    promising.print_out(certificate=made[1])  # before it was stopped
    before = made[1].sha256
    out = StringIO()

    with patch(f"{COMMAND}.ProcessPoolExecutor", InThisProcess):
        call_command("print_certificates", processes=2, stdout=out)

    assert out.getvalue() == "2 to print.\n2 of 2 printed.\n"
    assert not Certificate.objects.unprinted().exists()
    assert Certificate.objects.get(pk=made[1].pk).sha256 == before


def test_one_that_cannot_be_printed_holds_up_no_other() -> None:
    promise = make_open_promise()
    broken, good = (promising.issue_certificate(promise=promise, at=NOON) for _ in range(2))
    Certificate.objects.filter(pk=broken.pk).update(record={})
    out = StringIO()

    with (
        patch(f"{COMMAND}.ProcessPoolExecutor", InThisProcess),
        pytest.raises(CommandError, match=r"Not printed: .*\(KeyError\)"),
    ):
        call_command("print_certificates", processes=2, stdout=out)

    good.refresh_from_db()
    assert good.sha256
    assert out.getvalue().endswith("1 of 2 printed.\n")


def issue_anew(**options: Any) -> str:
    out = StringIO()
    with patch(f"{COMMAND}.ProcessPoolExecutor", InThisProcess):
        call_command("issue_certificates", reason="Counsel has read it.", stdout=out, **options)
    return out.getvalue()


def make_issued(language: str = "en") -> Promise:
    """A promise whose certificate counts as printed."""
    promise = make_open_promise(language=language, street=f"1 Calle {language}")
    made = promising.issue_certificate(promise=promise, at=NOON)
    Certificate.objects.filter(pk=made.pk).update(sha256="0" * 64)
    return promise


def test_what_no_longer_says_what_is_so_is_issued_anew_and_only_once() -> None:
    english, same = make_issued(), make_issued("es")
    make_open_promise(language="es")  # Not handed over yet: it has no certificate to renew.
    terming.record_counsel(terms=english.terms, name="R. Vance", on=NOON.date())

    said = issue_anew()
    again = issue_anew()

    assert "3 of 3 promises looked at, 1 issued anew." in said
    assert "1 of 1 printed." in said
    assert "0 issued anew." in again
    assert english.certificates.current().get().record["terms"]["counsel"] == "R. Vance"
    assert same.certificates.count() == 1


def test_all_of_them_are_issued_anew_and_stopped_and_begun_again_none_twice() -> None:
    promises = [make_issued(), make_issued("es")]
    moment = NOON + timedelta(hours=1)
    real, calls = standing.issue_again, []

    def stopped_at_the_last(**fields: Any) -> Certificate:
        calls.append(fields["promise"])
        if len(calls) == len(promises):
            raise KeyboardInterrupt
        return real(**fields)

    with (
        patch.object(standing, "issue_again", stopped_at_the_last),
        pytest.raises(KeyboardInterrupt),
    ):
        issue_anew(issued_before=moment)
    assert [each.certificates.count() for each in promises] == [2, 1]

    assert "1 issued anew." in issue_anew(issued_before=moment)

    assert [each.certificates.count() for each in promises] == [2, 2]
    current = [each.certificates.current().get() for each in promises]
    assert [each.record["language"] for each in current] == ["en", "es"]
    assert all(len(each.sha256) == 64 for each in current)


class InThisProcess:
    """Stands for the pool: other processes could not see a test's database."""

    def __init__(self, *_args: object, **_options: object) -> None:
        pass

    def __enter__(self) -> "InThisProcess":
        return self

    def __exit__(self, *_error: object) -> None:
        pass

    map = staticmethod(map)
