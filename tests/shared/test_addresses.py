"""What is refused in every address, and what no log line may tell of one."""

import logging
from typing import cast

import pytest
from django.conf import settings
from django.core.signing import Signer
from django.test import Client
from django.utils.module_loading import import_string

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("address", ["/outbox/?state=%00", "/jobs/2026-%00/", "/check/%00/"])
def test_a_null_character_is_refused_before_the_database_sees_it(
    owner: Client, address: str
) -> None:
    assert owner.get(address).status_code == 400


def line(message: str) -> str:
    formatters = cast(dict[str, dict[str, str]], settings.LOGGING["formatters"])
    told = {**formatters["line"]}
    formatter = import_string(told.pop("()"))(told["format"], style=told["style"])
    return str(formatter.format(logging.makeLogRecord({"msg": message, "levelname": "WARNING"})))


def test_a_log_line_does_not_hold_a_households_link() -> None:
    token = Signer(salt="customers.links").sign("some-random-key_of-a-link")

    written = line(f"Not Found: /my-home/{token}/certificates/RK-1/")

    assert "Not Found: /my-home/(a link)/certificates/RK-1/" in written
    assert token not in written


def test_a_log_line_does_not_hold_a_link_to_choose_a_password() -> None:
    written = line(
        "Bad Request: /account/password/reset/key/3-d1bx2c-0123456789abcdef0123456789abcdef/"
    )

    assert "/account/password/reset/key/(a link)/" in written


def test_other_lines_stay_as_they_are() -> None:
    assert line("Not Found: /homes/12/").endswith("Not Found: /homes/12/")
