"""Sending through eight Celery workers, against bare Celery tasks with the same conversation.

Prints a ratio, never times. On both sides: eight processes, Redis, one SMTP server on loopback, the
same message. Ours also claims each notice, asks whether it still stands, writes it in its
household's language from the tables, and keeps each step before the next. Compared is the
processor's time of workers, broker and database for each mail; the mail server's own is left out.
"""

import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from typing import Any

import psycopg

from shared.supervisor import wait_for
from tests.bench.processor import children, seconds_of_tree
from tests.published import ROOT
from tests.services.app import App, installation
from tests.services.notices import HOMES, PLAN
from tests.services.servers import (
    PATIENCE,
    MailServer,
    postgres_server,
    process,
    redis_server,
)

MAILS, ROUNDS, WORKERS = 100, 3, 8
AGAIN = """
UPDATE warranties_notice SET state = 'planned', sent_at = NULL, claimed_at = NULL,
    handing_over_at = NULL, handed_at = NULL, send_at = now()
"""
HAND = f"{PLAN}print(send_due(now()))"


class Sink(MailServer):
    """Counts what it takes and keeps the last."""

    def __init__(self) -> None:
        super().__init__()
        self.taken = 0
        self.last = b""

    async def handle_DATA(self, _server: Any, _session: Any, envelope: Any) -> str:  # noqa: N802
        self.taken += 1
        self.last = envelope.content
        return "250 taken"


@contextmanager
def workers(app: str, environment: dict[str, str]) -> Iterator[None]:
    """Eight worker processes of that Celery app."""
    command = [sys.executable, "-m", "celery", "-A", app, "worker", "-c", str(WORKERS)]
    command += ["--without-gossip", "--without-mingle", "--without-heartbeat", "-l", "WARNING"]
    with process(command, ready=lambda: True, env=environment, cwd=ROOT):
        yield


def cost(ask: Callable[[], object], sink: Sink, numbers: list[int]) -> float:
    """Processor time of these processes from the asking until every mail has come."""
    before, taken = sum(map(seconds_of_tree, numbers)), sink.taken
    ask()
    assert wait_for(lambda: sink.taken >= taken + MAILS, PATIENCE), "mails are missing"
    return sum(map(seconds_of_tree, numbers)) - before


def sending(app: App, sink: Sink) -> list[float]:
    app.manage("migrate", "--verbosity", "0")
    app.python(f"{HOMES % MAILS}{PLAN}print(plan_notices(now()))")

    def ask() -> None:
        with psycopg.connect(app.environment["DATABASE_URL"]) as database:
            database.execute(AGAIN)
        app.python(HAND)

    with workers("shared.celery", app.environment):
        return rounds(ask, sink)


def speaking(app: App, sink: Sink) -> list[float]:
    environment = {**app.environment, "BARE_PORT": str(sink.controller.port)}
    message = Path(app.environment["VAR_DIR"], "message")
    message.write_bytes(sink.last)
    environment |= {"BARE_MESSAGE": str(message), "BARE_MAILS": str(MAILS)}
    bare = App(environment)
    with workers("tests.bench.bare_tasks", environment):
        return rounds(lambda: bare.run("-m", "tests.bench.bare_tasks"), sink)


def rounds(ask: Callable[[], object], sink: Sink) -> list[float]:
    """The first one warms up: each process imports what it needs."""
    numbers = list(children(os.getpid()))  # The workers' parent, Redis, PostgreSQL.
    return [cost(ask, sink, numbers) for _ in range(ROUNDS + 1)][1:]


def bench() -> float:
    """Print and return the ratio of sending to bare Celery."""
    with (
        postgres_server() as postgres,
        redis_server() as broker,
        Sink() as sink,
        tempfile.TemporaryDirectory(prefix="ringkeep-bench-") as folder,
    ):
        app = installation(
            Path(folder) / "var",
            DJANGO_SETTINGS_MODULE="shared.settings",
            DATABASE_URL=postgres.new_database(),
            REDIS_URL=broker,
            EMAIL_URL=sink.url,
        )
        ours = median(sending(app, sink))
        bare = median(speaking(app, sink))
    print(f"{MAILS} mails by {WORKERS} workers: {ours / bare:.1f} x bare Celery")  # noqa: T201
    return ours / bare


if __name__ == "__main__":
    bench()
