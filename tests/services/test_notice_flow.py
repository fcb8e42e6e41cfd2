"""A plant comes due: the schedule's tasks, real workers and a real mail server send one mail."""

from collections.abc import Callable
from datetime import UTC, datetime
from secrets import token_urlsafe

import pytest
import redis

from shared.supervisor import wait_for
from tests.services.app import App
from tests.services.servers import PATIENCE, MailServer

pytestmark = [pytest.mark.services, pytest.mark.xdist_group("services")]

# A home where it is about noon now, since households are reached by day only.
FILL = """
from datetime import timedelta
from django.utils.timezone import now
from tests.factories import make_home, make_household, make_plant, make_watch
home = make_home(household=make_household(mail="ana@example.com"), zone="{zone}")
make_watch(plant=make_plant(home=home), opens_on=now().date() + timedelta(days=5))
"""
SWEEP = """
import shared.celery
from warranties.tasks import plan_due_notices, send_due_notices
for _ in range(3):
    plan_due_notices.delay()
    send_due_notices.delay()
"""
STATES = """
from warranties.models import Notice
print(*Notice.objects.values_list("state", flat=True))
"""


def noon_zone(now: datetime) -> str:
    """Return the zone where it is between noon and one o'clock; Etc/GMT counts westward."""
    return f"Etc/GMT{now.hour - 12:+d}"


@pytest.fixture
def due(make_app: Callable[..., App], real_parts: dict[str, str]) -> App:
    """An installation as on the open web, in which one plant opens the ring in five days."""
    app = make_app(
        **real_parts,
        BASE_URL="https://ringkeep.example",
        ALLOWED_HOSTS="ringkeep.example",
        SECRET_KEY=token_urlsafe(64),
    )
    with redis.Redis.from_url(app.environment["REDIS_URL"]) as broker:
        broker.flushdb()  # What a worker killed in another test had taken stays unacknowledged.
    app.python(FILL.format(zone=noon_zone(datetime.now(UTC))))
    return app


def sweep_all(app: App) -> None:
    """Run the schedule's tasks several times and wait until the workers have taken them all."""
    app.python(SWEEP)
    with redis.Redis.from_url(app.environment["REDIS_URL"]) as broker:
        assert wait_for(lambda: not broker.llen("celery") and not broker.hlen("unacked"), PATIENCE)


def test_two_workers_send_one_mail(due: App, mails: MailServer) -> None:
    with due.worker(), due.worker():
        sweep_all(due)
        mails.wait_for(1)
        sweep_all(due)

    (message,) = mails.received
    assert message["To"] == "ana@example.com"
    assert message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert due.python(STATES) == "sent"


def test_a_restart_in_between_sends_nothing_twice(due: App, mails: MailServer) -> None:
    due.python(SWEEP)
    with due.worker():
        mails.wait_for(1)
    with due.worker():
        sweep_all(due)

    assert len(mails.received) == 1
    assert due.python(STATES) == "sent"
