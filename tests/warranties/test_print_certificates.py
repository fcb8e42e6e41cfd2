"""Many certificates at once: by worker, by sweep, by command; stopped and begun again."""

from io import StringIO
from unittest.mock import patch

import pytest
from django.core.management import call_command
from kombu.exceptions import OperationalError

from tests.factories import NOON
from tests.warranties.certified import make_certificate, make_open_promise, pdf_of
from warranties import tasks
from warranties.actions import promising
from warranties.models import Certificate

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


class InThisProcess:
    """Stands for the pool: other processes could not see a test's database."""

    def __init__(self, *_args: object, **_options: object) -> None:
        pass

    def __enter__(self) -> "InThisProcess":
        return self

    def __exit__(self, *_error: object) -> None:
        pass

    map = staticmethod(map)
