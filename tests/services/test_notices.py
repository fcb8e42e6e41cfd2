"""Notices on real servers: nothing lost, nothing doubled, whatever is killed when."""

import os
import signal
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import UTC, datetime, timedelta

import pytest

from shared.supervisor import wait_for
from tests.services.app import App
from tests.services.notices import (
    HOMES,
    MORE,
    Stubborn,
    console_of,
    each_once,
    hand,
    plan,
    settled,
    sql,
    states,
)
from tests.services.servers import PATIENCE, MailServer

pytestmark = [pytest.mark.services, pytest.mark.xdist_group("services")]


ASK_ALL = """
from warranties.models import Notice
from warranties.tasks import send_notice
for pk in 2 * list(Notice.objects.values_list("pk", flat=True)):
    send_notice.delay(pk=pk)
answer = 0
"""


def test_two_plan_at_once_and_two_workers_send_each_once(app: App, mails: MailServer) -> None:
    """At five homes three notices come due at once: a mail a home, whatever workers are asked."""
    planners = (app, App(app.environment))
    assert plan(app, homes=0) == 0
    console_of(planners[1]).ask(f"{HOMES % 12}{MORE % 5}answer = 0")
    counts: list[int] = []
    threads = [
        threading.Thread(target=lambda planner: counts.append(plan(planner)), args=(planner,))
        for planner in planners
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sum(counts) == 12 + 5 * 2

    with app.worker(), app.worker():
        console_of(app).ask(ASK_ALL)  # The parts of a message too, twice each.
        hand(app, minutes=0)
        hand(app, minutes=11)  # The same again, as a sweep that comes before a worker did.
        assert settled(app, sent=12, joined=10) == {"sent": 12, "joined": 10}
    assert plan(app) == 0

    each_once(mails, 12)
    told = "SELECT COUNT(*) FROM warranties_notice WHERE sent_at IS NOT NULL"
    assert sql(app, told) == [(22,)]


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


@pytest.fixture
def killed(app: App, stubborn: Stubborn) -> Iterator[Callable[[Callable[[], None]], None]]:
    """Return a function that runs a worker and kills it -9 while the mail server holds the data."""
    with ExitStack() as stack:

        def run(then: Callable[[], None]) -> None:
            worker = stack.enter_context(app.worker())

            def kill(_line: object) -> str:
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
    """With all its parts."""
    console_of(app).ask(f"{HOMES % 1}{MORE % 1}answer = 0")
    plan(app)

    killed(lambda: None)

    assert states(app) == {"claimed": 1, "joined": 2}
    hand(app, minutes=5)
    assert states(app) == {"claimed": 1, "joined": 2}
    with app.worker():
        hand(app, minutes=11)
        assert settled(app, held=1, joined=2) == {"held": 1, "joined": 2}
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
    console_of(app).ask(f"{HOMES % 4}{MORE % 2}answer = 0")
    plan(app)
    for place in ("noticing.write", "noticing.post", "posting._speak"):
        died = app.run("-c", f"import django; django.setup()\n{DIE.format(place=place)}")
        assert died.returncode == -signal.SIGKILL, died.stderr
    with app.worker():
        hand(app)
        first = {"claimed": 3, "sent": 1, "joined": 4}
        assert settled(app, **first) == first
        hand(app, minutes=11)
        assert settled(app, sent=4, joined=4) == {"sent": 4, "joined": 4}

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
