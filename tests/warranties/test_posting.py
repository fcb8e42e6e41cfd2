"""Posting to a real SMTP server on loopback: each way that it can go, told apart."""

import asyncio
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from django.core.mail import EmailMultiAlternatives
from pytest_django import Settings

from warranties.notices.posting import CannotTell, NotTaken, post


class Server:
    """A mail server that answers at each step as it is told to."""

    def __init__(self) -> None:
        self.answers: dict[str, str] = {}
        self.taken: list[bytes] = []

    async def handle_MAIL(  # noqa: N802
        self, _server: Any, _session: Any, envelope: Any, address: str, _options: list[str]
    ) -> str:
        envelope.mail_from = address
        return self.answers.get("MAIL", "250 fine")

    async def handle_RCPT(  # noqa: N802
        self, _server: Any, _session: Any, envelope: Any, address: str, _options: list[str]
    ) -> str:
        envelope.rcpt_tos.append(address)
        return self.answers.get("RCPT", "250 fine")

    async def handle_DATA(self, server: Any, _session: Any, envelope: Any) -> str:  # noqa: N802
        answer = self.answers.get("DATA", "250 taken")
        if answer == "break":
            server.transport.abort()
            await asyncio.sleep(0)
            return "250 never seen"
        if answer.startswith("250"):
            self.taken.append(envelope.content)
        return answer


@pytest.fixture
def server(settings: Settings) -> Iterator[Server]:
    handler = Server()
    with closed_port() as port:
        pass
    controller = Controller(handler, hostname="127.0.0.1", port=port)
    controller.start()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_TIMEOUT = "127.0.0.1", port, 5
    yield handler
    controller.stop()


@contextmanager
def closed_port() -> Iterator[int]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        yield int(probe.getsockname()[1])


def mail() -> EmailMultiAlternatives:
    return EmailMultiAlternatives(
        "¡Hola!", ".\nA line\n", "Firm <office@example.com>", ["home@example.com"]
    )


def outcome(steps: list[str]) -> Exception | None:
    try:
        post(mail(), before=lambda: steps.append("before"))
    except (NotTaken, CannotTell) as error:
        return error
    return None


def test_what_is_taken_is_taken_once_and_after_the_mark(server: Server) -> None:
    steps: list[str] = []

    assert outcome(steps) is None

    assert steps == ["before"]
    (content,) = server.taken
    assert b"A line" in content
    assert b"Subject: =?utf-8?" in content


@pytest.mark.parametrize(
    ("step", "answer", "permanent", "marked"),
    [
        ("MAIL", "451 later", False, False),
        ("MAIL", "550 not you", True, False),
        ("RCPT", "450 busy", False, False),
        ("RCPT", "550 no such user", True, False),
        ("DATA", "452 full", False, True),
        ("DATA", "554 no", True, True),
    ],
)
def test_a_refusal_is_known_at_every_step(
    server: Server, step: str, answer: str, permanent: bool, marked: bool
) -> None:
    server.answers[step] = answer
    steps: list[str] = []

    error = outcome(steps)

    assert isinstance(error, NotTaken)
    assert answer in str(error)
    assert (error.permanent, bool(steps)) == (permanent, marked)
    assert server.taken == []


def test_a_line_that_breaks_after_the_data_cannot_be_told(server: Server) -> None:
    server.answers["DATA"] = "break"
    steps: list[str] = []

    assert isinstance(outcome(steps), CannotTell)
    assert steps == ["before"]


def test_no_server_is_known_before_the_mark(settings: Settings) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    steps: list[str] = []
    with closed_port() as port:
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port
        error = outcome(steps)

    assert isinstance(error, NotTaken)
    assert (error.permanent, steps) == (False, [])


def test_a_server_that_hangs_up_at_once_is_known_before_the_mark(settings: Settings) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    steps: list[str] = []
    with socket.create_server(("127.0.0.1", 0)) as listener:
        settings.EMAIL_HOST, settings.EMAIL_PORT = listener.getsockname()[:2]

        def hang_up() -> None:
            line, _address = listener.accept()
            line.sendall(b"220 hello\r\n")
            line.recv(1000)
            line.close()

        thread = threading.Thread(target=hang_up)
        thread.start()
        error = outcome(steps)
        thread.join()

    assert isinstance(error, NotTaken)
    assert (error.permanent, steps) == (False, [])


def test_a_server_that_is_too_slow_after_the_data_cannot_be_told(
    server: Server, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def slow(*_args: Any) -> str:
        await asyncio.sleep(1)
        return "250 too late"

    monkeypatch.setattr(server, "handle_DATA", slow)
    settings.EMAIL_TIMEOUT = 0.2

    assert isinstance(outcome([]), CannotTell)


def test_what_the_mark_raises_stops_the_posting(server: Server) -> None:
    class LostClaim(Exception):
        pass

    def lost() -> None:
        raise LostClaim

    with pytest.raises(LostClaim):
        post(mail(), before=lost)

    assert server.taken == []
