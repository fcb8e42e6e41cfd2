"""What the tests of notices on real servers ask for: planned, handed to workers, how they stand."""

import asyncio
import subprocess
import sys
from collections import Counter
from collections.abc import Awaitable, Callable
from typing import Any, LiteralString

import psycopg

from shared.supervisor import wait_for
from tests.published import ROOT
from tests.services.app import App
from tests.services.servers import PATIENCE, MailServer

# Homes stand where it is about noon now, so that no notice waits for a morning.
HOMES = """
from datetime import UTC, datetime, timedelta
from django.utils.timezone import now
from tests.factories import make_home, make_plant, make_watch
hours = 12 - now().hour
zone = "Etc/GMT" + f"{-hours:+d}"
for number in range(%d):
    plant = make_plant(home=make_home(zone=zone))
    make_watch(plant=plant, opens_on=now().date() + timedelta(days=20))
"""
# What comes due beside the plant of so many of these homes: a plant, and a check of a plan.
MORE = """
from customers.models import Home
from tests.factories import make_check
for home in Home.objects.order_by("pk")[:%d]:
    make_watch(plant=make_plant(home=home), opens_on=now().date() + timedelta(days=30))
    make_check(home=home, due_on=now().date())
"""
PLAN = """
from django.utils.timezone import now
from warranties.notices import plan_notices, send_due
"""


DUE_NOW: LiteralString = (
    "UPDATE warranties_notice SET send_at = now(), handed_at = NULL WHERE state = 'planned'"
)
REFUSED: LiteralString = (
    "SELECT COUNT(*) FROM warranties_notice"
    " WHERE state = 'planned' AND state_reason LIKE 'No mail server%'"
)


# Django is set up once a console, not once a command: that is most of the time here.
LOOP = """
import ast, sys, django
django.setup()
from datetime import timedelta
from django.db import connection
for line in sys.stdin:
    names = {}
    connection.close()  # Somebody may have cut it.
    exec(ast.literal_eval(line), globals(), names)
    print(repr(names.get("answer")), flush=True)
"""


class Console:
    """A Python of an installation that stays: it runs code and says what `answer` is then."""

    def __init__(self, app: App) -> None:
        self.python = subprocess.Popen(
            [sys.executable, "-c", LOOP],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env=app.environment,
            cwd=ROOT,
            text=True,
        )

    def ask(self, code: str) -> int:
        assert self.python.stdin is not None
        assert self.python.stdout is not None
        self.python.stdin.write(f"{code!r}\n")
        self.python.stdin.flush()
        return int(self.python.stdout.readline())

    def stop(self) -> None:
        self.python.communicate()


_consoles: dict[int, Console] = {}


def stop_consoles() -> None:
    while _consoles:
        _consoles.popitem()[1].stop()


def console_of(app: App) -> Console:
    if id(app) not in _consoles:
        _consoles[id(app)] = Console(app)
    return _consoles[id(app)]


def plan(app: App, homes: int = 0) -> int:
    """Plan what is due, so many homes made before; return how many notices that gave."""
    return console_of(app).ask(f"{HOMES % homes}{PLAN}answer = plan_notices(now())")


def hand(app: App, minutes: int = 0) -> int:
    """Hand what is due to workers, as if so many minutes had passed."""
    return console_of(app).ask(f"{PLAN}answer = send_due(now() + timedelta(minutes={minutes}))")


def states(app: App) -> dict[str, int]:
    rows = sql(app, "SELECT state, COUNT(*) FROM warranties_notice GROUP BY state")
    return {str(state): int(count) for state, count in rows}


def sql(app: App, command: LiteralString) -> list[tuple[Any, ...]]:
    """Run a command in the app's database; return its rows."""
    with psycopg.connect(app.environment["DATABASE_URL"], autocommit=True) as connection:
        cursor = connection.execute(command)
        return cursor.fetchall() if cursor.description else []


def settled(app: App, **wanted: int) -> dict[str, int]:
    """Wait until the notices stand like this; return how they stand."""
    wait_for(lambda: states(app) == wanted, PATIENCE)
    return states(app)


def each_once(mails: MailServer, number: int) -> None:
    ids = Counter(str(mail["Message-ID"]) for mail in mails.received)
    assert len(ids) == number
    assert set(ids.values()) == {1}


class Stubborn:
    """What the mail server does with the next messages, in turn; it takes all that come after.

    A reply gets the server's end of the line and is the answer to the message, or awaits it.
    """

    def __init__(self, mails: MailServer) -> None:
        self.mails = mails
        self.real = mails.handle_DATA
        self.replies: list[Callable[[Any], str | Awaitable[str]]] = []
        self.envelope: object = None  # of the message at hand
        self.pause = 0.0

    async def handle(self, server: Any, session: object, envelope: object) -> str:
        await asyncio.sleep(self.pause)
        if not self.replies:
            return await self.real(server, session, envelope)
        self.envelope = envelope
        reply = self.replies.pop(0)(server)
        return reply if isinstance(reply, str) else await reply
