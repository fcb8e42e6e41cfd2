"""Notices on real servers: nothing lost, nothing doubled, whatever is killed when."""

import os
import signal
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import UTC, datetime, timedelta
from typing import Any, LiteralString

import psycopg
import pytest

from shared.supervisor import wait_for
from tests.published import ROOT
from tests.services.app import App
from tests.services.servers import PATIENCE, MailServer, redis_server

pytestmark = [pytest.mark.services, pytest.mark.xdist_group("services")]

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


@pytest.fixture(autouse=True)
def consoles() -> Iterator[None]:
    """Stop the consoles of a test with it."""
    yield
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


def test_two_plan_at_once_and_two_workers_send_each_once(app: App, mails: MailServer) -> None:
    planners = (app, App(app.environment))
    assert plan(app, homes=0) == 0
    console_of(planners[1]).ask(f"{HOMES % 12}answer = 0")
    counts: list[int] = []
    threads = [
        threading.Thread(target=lambda planner: counts.append(plan(planner)), args=(planner,))
        for planner in planners
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sum(counts) == 12

    with app.worker(), app.worker():
        hand(app, minutes=0)
        hand(app, minutes=11)  # The same again, as a sweep that comes before a worker did.
        assert settled(app, sent=12) == {"sent": 12}
    assert plan(app) == 0

    each_once(mails, 12)


def test_the_whole_flow_from_the_schedule_to_done(app: App, mails: MailServer) -> None:
    """Planned by a task, sent by a task, answered on my home, planned for the next time."""
    desk = console_of(app)
    desk.ask(f"{HOMES % 1}answer = 0")
    with app.worker():
        desk.ask("from warranties import tasks\ntasks.plan_due_notices.delay()\nanswer = 0")
        assert settled(app, planned=1) == {"planned": 1}
        desk.ask("from warranties import tasks\ntasks.send_due_notices.delay()\nanswer = 0")
        (mail,) = mails.wait_for(1)
        assert settled(app, sent=1) == {"sent": 1}
    body = mail.get_body(("plain",))
    assert body is not None
    (done,) = [line for line in body.get_content().splitlines() if line.endswith("/done/")]

    plain = App({**app.environment, "DEBUG": "1"})  # Static files are not collected here.
    answer = plain.python(
        f"""
from django.test import Client
from warranties.models import Reading, Watch
path = "/my-home/" + {done!r}.split("/my-home/")[1]
client = Client(SERVER_NAME="127.0.0.1")
print(client.get(path).status_code, Reading.objects.count(),
      client.post(path).status_code, Reading.objects.count(), Watch.objects.get().opens_on)
"""
    ).split()

    assert answer[:4] == ["200", "1", "302", "2"]
    assert datetime.fromisoformat(answer[4]).date() > datetime.now(UTC).date() + timedelta(days=20)
    assert plan(app) == 0


class Stubborn:
    """What the mail server does with the next messages: a list of instants at which to act."""

    def __init__(self, mails: MailServer) -> None:
        self.mails = mails
        self.real = mails.handle_DATA
        self.replies: list[Callable[[], str]] = []

    async def handle(self, server: object, session: object, envelope: object) -> str:
        if self.replies:
            return self.replies.pop(0)()
        return await self.real(server, session, envelope)


@pytest.fixture
def stubborn(mails: MailServer, monkeypatch: pytest.MonkeyPatch) -> Stubborn:
    stubborn = Stubborn(mails)
    monkeypatch.setattr(mails, "handle_DATA", stubborn.handle)
    return stubborn


def test_a_server_that_refuses_is_asked_again_or_not(
    app: App, mails: MailServer, stubborn: Stubborn
) -> None:
    """One is refused for now, one for good; two are taken."""
    plan(app, homes=4)
    stubborn.replies = [lambda: "451 later", lambda: "554 never"]
    with app.worker():
        hand(app)
        first = {"sent": 2, "planned": 1, "held": 1}
        assert settled(app, **first) == first
        sql(app, DUE_NOW)
        hand(app)
        assert settled(app, sent=3, held=1) == {"sent": 3, "held": 1}

    each_once(mails, 3)


def test_no_server_at_all_costs_nothing(app: App, mails: MailServer) -> None:
    plan(app, homes=2)
    deaf = App({**app.environment, "EMAIL_URL": "smtp://127.0.0.1:1"})
    with deaf.worker():
        hand(app)
        assert wait_for(lambda: sql(app, REFUSED) == [(2,)], PATIENCE)
    sql(app, DUE_NOW)
    with app.worker():
        hand(app)
        assert settled(app, sent=2) == {"sent": 2}

    each_once(mails, 2)


@pytest.fixture
def killed(app: App, stubborn: Stubborn) -> Iterator[Callable[[Callable[[], None]], None]]:
    """Return a function that runs a worker and kills it -9 while the mail server holds the data."""
    with ExitStack() as stack:

        def run(then: Callable[[], None]) -> None:
            worker = stack.enter_context(app.worker())

            def kill() -> str:
                os.kill(worker.pid, signal.SIGKILL)
                time.sleep(0.05)
                then()
                return "250 taken"

            stubborn.replies = [kill]
            hand(app)
            worker.wait(PATIENCE)

        yield run


def test_a_worker_killed_while_handing_over_is_held(
    app: App, mails: MailServer, stubborn: Stubborn, killed: Callable[[Callable[[], None]], None]
) -> None:
    plan(app, homes=1)

    killed(lambda: None)

    assert states(app) == {"claimed": 1}
    hand(app, minutes=5)
    assert states(app) == {"claimed": 1}
    with app.worker():
        hand(app, minutes=11)
        assert settled(app, held=1) == {"held": 1}
    assert mails.received == []


DIE = """
from django.utils.timezone import now
from warranties.actions import noticing
from warranties.models import Notice
from warranties.notices import posting
import os, signal
def die(*_args, **_named):
    os.kill(os.getpid(), signal.SIGKILL)
{place} = die
noticing.send(pk=Notice.objects.filter(state="planned").first().pk, at=now())
"""


def test_workers_killed_before_the_handing_over_lose_nothing(app: App, mails: MailServer) -> None:
    """One dies with the claim, one with the mail written, one on the line to the mail server."""
    plan(app, homes=4)
    for place in ("noticing.write", "noticing.post", "posting._speak"):
        died = app.run("-c", f"import django; django.setup()\n{DIE.format(place=place)}")
        assert died.returncode == -signal.SIGKILL, died.stderr
    with app.worker():
        hand(app)
        assert settled(app, claimed=3, sent=1) == {"claimed": 3, "sent": 1}
        hand(app, minutes=11)
        assert settled(app, sent=4) == {"sent": 4}

    each_once(mails, 4)


def test_workers_killed_again_and_again_lose_and_double_nothing(
    app: App, mails: MailServer
) -> None:
    plan(app, homes=30)
    for pause in (0.0, 0.05, 0.15):
        with app.worker() as worker:
            hand(app, minutes=11)
            time.sleep(pause)
            os.kill(worker.pid, signal.SIGKILL)
            worker.wait()
    with app.worker():
        hand(app, minutes=11)
        wait_for(lambda: set(states(app)) <= {"sent", "held"}, PATIENCE)
        hand(app, minutes=22)
        wait_for(lambda: set(states(app)) <= {"sent", "held"}, PATIENCE)

    stand = states(app)
    assert set(stand) <= {"sent", "held"}
    assert sum(stand.values()) == 30
    ids = Counter(str(mail["Message-ID"]) for mail in mails.received)
    assert set(ids.values()) == {1}
    assert stand["sent"] <= len(ids) <= 30


def test_a_broker_that_forgets_everything_is_asked_again(app: App, mails: MailServer) -> None:
    plan(app, homes=3)
    nowhere = App({**app.environment, "REDIS_URL": "redis://127.0.0.1:1/0"})
    assert hand(nowhere) == 0  # Nothing is marked as handed over.
    with redis_server() as first:
        forgetful = App({**app.environment, "REDIS_URL": first})
        assert hand(forgetful) == 3
    with redis_server() as second:
        fresh = App({**app.environment, "REDIS_URL": second})
        with fresh.worker():
            assert hand(fresh) == 0  # They were handed over a moment ago.
            assert hand(fresh, minutes=11) == 3
            assert settled(app, sent=3) == {"sent": 3}

    each_once(mails, 3)


def test_a_database_that_is_gone_for_a_while_costs_nothing(app: App, mails: MailServer) -> None:
    """Every connection is cut between the sweeps and while a worker sends."""
    plan(app, homes=6)
    cut = (
        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
        " WHERE pid <> pg_backend_pid() AND datname = current_database()"
    )
    with app.worker(), psycopg.connect(app.environment["DATABASE_URL"], autocommit=True) as admin:
        hand(app)
        for _ in range(3):
            admin.execute(cut)
            time.sleep(0.1)
        hand(app, minutes=11)
        wait_for(lambda: set(states(app)) <= {"sent", "held", "claimed"}, PATIENCE)
        hand(app, minutes=22)
        wait_for(lambda: set(states(app)) <= {"sent", "held"}, PATIENCE)

    stand = states(app)
    ids = Counter(str(mail["Message-ID"]) for mail in mails.received)
    assert sum(stand.values()) == 6
    assert set(ids.values()) == {1}
    assert stand.get("sent", 0) <= len(ids)
