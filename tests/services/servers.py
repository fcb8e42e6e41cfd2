"""Throwaway servers, each stopped by the handle that started it."""

import asyncio
import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from email import message_from_bytes, policy
from email.message import EmailMessage
from itertools import count
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import psycopg
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP

from shared.supervisor import wait_for

PATIENCE = 90.0  # seconds for a server to answer or to stop


def free_port() -> int:
    with closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def answers(port: int) -> bool:
    with closing(socket.socket()) as client:
        return client.connect_ex(("127.0.0.1", port)) == 0


@contextmanager
def process(
    command: Sequence[str], *, ready: Callable[[], bool], **how: Any
) -> Iterator[subprocess.Popen[bytes]]:
    """Run the command until the block ends; complain where it dies before it is ready."""
    with tempfile.TemporaryFile() as log:
        running = subprocess.Popen(command, stdout=log, stderr=subprocess.STDOUT, **how)
        try:
            wait_for(lambda: ready() or running.poll() is not None, PATIENCE)
            log.seek(0)
            assert running.poll() is None, f"{command[0]} ended:\n{log.read().decode()}"
            assert ready(), f"{command[0]} does not answer:\n{log.read().decode()}"
            yield running
        finally:
            running.terminate()
            try:
                running.wait(PATIENCE)
            except subprocess.TimeoutExpired:
                running.kill()
                running.wait()


class Postgres:
    def __init__(self, port: int) -> None:
        self.port = port
        self.numbers = count(1)

    def url(self, database: str) -> str:
        return f"postgres://ringkeep@127.0.0.1:{self.port}/{database}"

    def new_database(self, *, template: str = "template1") -> str:
        """Return the address of a new database, empty or a copy of the template."""
        name = f"ringkeep_{next(self.numbers)}"
        with psycopg.connect(self.url("postgres"), autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name} TEMPLATE {template}".encode())
        return self.url(name)


def postgres_program(name: str) -> str:
    """Return the path of a PostgreSQL program: Debian keeps them away from PATH."""
    found = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"))
    path = str(found[-1]) if found else shutil.which(name)
    assert path, f"{name} is missing; make test installs it"
    return path


@contextmanager
def postgres_server() -> Iterator[Postgres]:
    """PostgreSQL refuses to run as root, so root runs it as the user that Debian made for it."""
    who = {"user": "postgres", "group": "postgres", "extra_groups": []} if os.getuid() == 0 else {}
    port = free_port()
    server = Postgres(port)
    with tempfile.TemporaryDirectory(prefix="ringkeep-postgres-") as folder:
        if who:
            shutil.chown(folder, "postgres", "postgres")
        initdb = [postgres_program("initdb"), "-D", folder, "-U", "ringkeep", "--auth=trust"]
        initdb += ["--encoding=UTF8", "--locale=C.UTF-8", "--no-sync"]
        subprocess.run(initdb, check=True, capture_output=True, cwd="/", **who)  # type: ignore[call-overload]
        command = [postgres_program("postgres"), "-D", folder, "-p", str(port), "-k", folder]
        command += ["-c", "listen_addresses=127.0.0.1", "-c", "fsync=off"]
        command += ["-c", "synchronous_commit=off", "-c", "full_page_writes=off"]
        with process(command, ready=lambda: _takes_queries(server), cwd="/", **who):
            yield server


def _takes_queries(server: Postgres) -> bool:
    try:
        psycopg.connect(server.url("postgres"), connect_timeout=2).close()
    except psycopg.OperationalError:
        return False
    return True


@contextmanager
def redis_server(port: int = 0) -> Iterator[str]:
    program = shutil.which("redis-server")
    assert program, "redis-server is missing; make test installs it"
    port = port or free_port()
    command = [program, "--port", str(port), "--bind", "127.0.0.1", "--save", "", "--appendonly"]
    with (
        tempfile.TemporaryDirectory(prefix="ringkeep-redis-") as folder,
        process([*command, "no", "--dir", folder], ready=lambda: answers(port)),
    ):
        yield f"redis://127.0.0.1:{port}/0"


class Greeting(SMTP):
    """One line to the mail server, which may keep its caller waiting before it says a word."""

    async def _handle_client(self) -> None:
        waits = self.event_handler.waits
        try:
            await asyncio.sleep(waits.pop(0) if waits else 0)
        except asyncio.CancelledError:  # The caller hung up.
            self._writer.close()
            raise
        await super()._handle_client()


class Receiving(Controller):
    def factory(self) -> SMTP:
        return Greeting(self.handler, **self.SMTP_kwargs)


class MailServer:
    """A real SMTP server on loopback that keeps what it takes.

    `waits`: for how many seconds each of the next callers waits for its first word.
    """

    def __init__(self) -> None:
        self.received: list[EmailMessage] = []
        self.waits: list[float] = []
        self.controller = Receiving(self, hostname="127.0.0.1", port=free_port())

    @property
    def url(self) -> str:
        return f"smtp://127.0.0.1:{self.controller.port}"

    async def handle_DATA(self, _server: Any, _session: Any, envelope: Any) -> str:  # noqa: N802
        message = message_from_bytes(envelope.content, policy=policy.default)
        assert isinstance(message, EmailMessage)
        self.received.append(message)
        return "250 taken"

    def wait_for(self, number: int, seconds: float = PATIENCE) -> list[EmailMessage]:
        """Wait until so many messages have come; fail where they do not."""
        enough = wait_for(lambda: len(self.received) >= number, seconds)
        assert enough, f"{len(self.received)} of {number} messages came in {seconds:g} s"
        return self.received

    def __enter__(self) -> Self:
        self.controller.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.controller.stop()
