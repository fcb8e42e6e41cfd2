"""Mail server, broker and database that fail: nothing lost, nothing doubled.

Where it cannot be told whether the mail server took a message, it is held for a person.
"""

import asyncio
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

import psycopg
import pytest

from shared.supervisor import wait_for
from tests.services.app import App
from tests.services.notices import (
    DUE_NOW,
    REFUSED,
    Stubborn,
    each_once,
    hand,
    plan,
    settled,
    sql,
    states,
)
from tests.services.servers import PATIENCE, MailServer, Postgres, free_port, redis_server

TOO_LONG = 1.3  # seconds, where we wait for one
pytestmark = [pytest.mark.services, pytest.mark.xdist_group("services")]


def test_a_server_that_refuses_is_asked_again_or_not(
    app: App, mails: MailServer, stubborn: Stubborn
) -> None:
    """One is refused for now, one for good; two are taken."""
    plan(app, homes=4)
    stubborn.replies = [lambda _line: "451 later", lambda _line: "554 never"]
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


def taken_and_dropped(line: Any) -> str:
    """The server has the whole message, and the line breaks before it says so."""
    line.transport.abort()
    return "250 taken"


async def slowly(_line: Any) -> str:
    await asyncio.sleep(0.2)
    return "250 taken"


def test_a_server_that_is_slower_than_we_wait(
    app: App, mails: MailServer, stubborn: Stubborn
) -> None:
    """Before its first word it has nothing: asked again. After the data nobody can tell: held."""
    plan(app, homes=3)
    hasty = App({**app.environment, "EMAIL_TIMEOUT": "1"})
    mails.waits = [TOO_LONG]

    async def take_long(line: Any) -> str:
        said = await stubborn.real(line, None, stubborn.envelope)
        await asyncio.sleep(TOO_LONG)
        return said

    stubborn.replies = [take_long]
    with hasty.worker():
        hand(app)
        first = {"planned": 1, "held": 1, "sent": 1}
        assert settled(app, **first) == first
        assert sql(app, REFUSED) == [(1,)]
        sql(app, DUE_NOW)
        for minutes in (0, 11, 22):
            hand(app, minutes=minutes)
        assert settled(app, sent=2, held=1) == {"sent": 2, "held": 1}

    each_once(mails, 3)  # What is held was taken after all: well that it is not sent again.


def test_a_line_that_breaks_after_the_data_is_held_however_often(
    app: App, mails: MailServer, stubborn: Stubborn
) -> None:
    """Every other one breaks, and the server is slow; no later sweep sends one of them again."""
    plan(app, homes=8)
    stubborn.replies = [taken_and_dropped, slowly] * 4
    with app.worker():
        hand(app)
        assert settled(app, sent=4, held=4) == {"sent": 4, "held": 4}
        for minutes in (11, 22, 33):
            hand(app, minutes=minutes)
        assert states(app) == {"sent": 4, "held": 4}

    assert (stubborn.replies, mails.received) == ([], [])


def test_a_broker_that_is_restarted_again_and_again(app: App, mails: MailServer) -> None:
    """The worker lives on and finds it again; what comes due meanwhile waits for the next sweep."""
    port = free_port()
    restless = App({**app.environment, "REDIS_URL": f"redis://127.0.0.1:{port}/0"})
    with ExitStack() as until_the_end:
        plan(restless, homes=2)
        with redis_server(port):
            worker = until_the_end.enter_context(restless.worker())
            hand(restless)
            assert settled(app, sent=2) == {"sent": 2}
        for sent in (4, 6):
            plan(restless, homes=2)
            assert hand(restless) == 0
            with redis_server(port):
                assert wait_for(lambda: hand(restless) == 2, PATIENCE)
                assert settled(app, sent=sent) == {"sent": sent}
        assert worker.poll() is None

    each_once(mails, 6)


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


@contextmanager
def gone(app: App, postgres: Postgres) -> Iterator[None]:
    """Nobody gets into the app's database, and who was in is thrown out."""
    name = app.environment["DATABASE_URL"].rpartition("/")[2]
    with psycopg.connect(postgres.url("postgres"), autocommit=True) as admin:
        admin.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS false".encode())
        admin.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", [name]
        )
        yield
        admin.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS true".encode())


def test_a_database_that_is_gone_again_and_again_costs_nothing(
    app: App, mails: MailServer, stubborn: Stubborn, postgres: Postgres
) -> None:
    """It goes while workers send, and comes back: held at most is what was under way."""
    plan(app, homes=12)
    stubborn.pause = 0.1

    with app.worker():
        hand(app)
        for minutes in (11, 22, 33):
            seen = len(mails.received)
            wait_for(lambda seen=seen: len(mails.received) > seen, PATIENCE)  # type: ignore[misc]
            with gone(app, postgres):
                time.sleep(0.5)
            hand(app, minutes=minutes)
        for minutes in (44, 55):
            wait_for(lambda: set(states(app)) <= {"sent", "held", "claimed"}, PATIENCE)
            hand(app, minutes=minutes)
        wait_for(lambda: set(states(app)) <= {"sent", "held"}, PATIENCE)

    stand = states(app)
    ids = Counter(str(mail["Message-ID"]) for mail in mails.received)
    assert sum(stand.values()) == 12
    assert set(stand) <= {"sent", "held"}
    assert set(ids.values()) == {1}
    assert stand.get("sent", 0) <= len(ids)
    assert stand.get("held", 0) <= 3
