"""Sending: claimed by one, written in the household's language, and sure what became of it."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core import mail
from django.core.mail import EmailMultiAlternatives
from pytest_django import DjangoAssertNumQueries

from customers.actions import record_consent
from tests.factories import (
    NOON,
    TODAY,
    make_home,
    make_household,
    make_notice,
    make_plant,
    make_watch,
)
from tests.warranties.mails import html_of, send, sent
from warranties import notices
from warranties.actions import noticing
from warranties.models import Notice
from warranties.models.notice import CLAIM_LASTS
from warranties.notices import mailing
from warranties.notices.entrance import link_of
from warranties.notices.posting import CannotTell, NotTaken

pytestmark = pytest.mark.django_db


def test_sends_once_and_marks_it() -> None:
    notice = make_notice()

    assert send(notice) == "sent"
    assert send(notice) == ""

    assert len(mail.outbox) == 1
    assert (notice.state, notice.sent_at, notice.handing_over_at) == ("sent", NOON, NOON)


def test_asks_the_database_ten_times_and_twice_more_for_others(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    """Claim, the notice, whether others joined it, who holds the home, consents, link, words, plan;
    then the two marks. With others these, and their mark in one transaction with the last: here
    a savepoint."""
    alone, carrier = make_notice(), make_notice()
    other = make_watch(plant=make_plant(home=carrier.home))
    make_notice(watch=other, state="joined", joined_to=carrier)
    for notice in (alone, carrier):
        link_of(notice, NOON)

    with django_assert_num_queries(10):
        noticing.send(pk=alone.pk, at=NOON)
    with django_assert_num_queries(14):
        noticing.send(pk=carrier.pk, at=NOON)


def test_says_what_to_cut_and_by_when_and_how_to_answer() -> None:
    watch = make_watch(
        plant=make_plant(home=make_home(street="14 Juniper Bend")),
        opens_on=TODAY + timedelta(days=41),
    )
    send(notice := make_notice(watch=watch))

    message = sent()

    assert message.to == [notice.household.mail]
    assert message.subject == "Please cut back the lantana at 14 Juniper Bend"
    for text in (message.body, html_of(message)):
        assert "12 inches" in text
        assert "Sunday, April 12, 2026" in text
        assert "at leg 4, by the gate" in text
        assert f"/notices/{notice.pk}/done/" in text
        assert f"/notices/{notice.pk}/help/" in text
        assert "12 Depot Road" in text
        assert "/unsubscribe/" in text
        assert "1-800-222-1222" in text


def test_writes_spanish_to_a_spanish_household() -> None:
    home = make_home(household=make_household(language="es"))
    watch = make_watch(plant=make_plant(home=home), opens_on=TODAY + timedelta(days=41))
    send(make_notice(watch=watch, language="es"))

    message = sent()

    assert message.subject.startswith("Por favor, recorte la planta (lantana)")
    assert "12 pulgadas" in message.body
    assert "domingo 12 de abril de 2026" in message.body
    assert '<html lang="es">' in html_of(message)


def test_carries_what_joined_it() -> None:
    home = make_home()
    first = make_notice(watch=make_watch(plant=make_plant(home=home), opens_on=TODAY))
    for name in ("star jasmine", "rosemary"):
        plant = make_plant(home=home, name=name)
        watch = make_watch(plant=plant, opens_on=TODAY + timedelta(days=60))
        make_notice(watch=watch, state="joined", joined_to=first)

    send(first)

    body = sent().body
    assert sent().subject.startswith("Please cut back 3 plants")
    assert [name in body for name in ("Lantana", "Star jasmine", "Rosemary")] == [True] * 3
    assert body.count("/done/") == 3


@pytest.mark.parametrize(
    ("at", "sends"),
    [
        (datetime(2026, 11, 25, 14, 59, 59, tzinfo=UTC), False),
        (datetime(2026, 11, 25, 15, 0, 0, tzinfo=UTC), True),
        (datetime(2026, 11, 26, 3, 59, 59, tzinfo=UTC), True),
        (datetime(2026, 11, 26, 4, 0, 0, tzinfo=UTC), False),
    ],
)
def test_a_worker_that_comes_late_keeps_the_quiet_hours(at: datetime, sends: bool) -> None:
    """../shared/standards/law.md 5.5, M-17 and M-18."""
    notice = make_notice()

    send(notice, at)

    assert len(mail.outbox) == sends
    assert (notice.state == "planned", notice.send_at > at) == (not sends, not sends)


def test_who_left_in_the_meantime_gets_a_letter() -> None:
    notice = make_notice()
    record_consent(household=notice.household, channel="mail", given=False, how="left", at=NOON)

    assert send(notice) == "planned"
    assert (notice.channel, mail.outbox) == ("letter", [])


def test_who_sold_the_home_is_told_nothing() -> None:
    notice = make_notice()
    notice.home.ownerships.update(until=TODAY)

    assert send(notice) == "dropped"
    assert "does not hold" in notice.state_reason


def test_what_was_answered_is_not_sent() -> None:
    notice = make_notice(answer="done")

    assert send(notice) == "dropped"


def fail_with(monkeypatch: pytest.MonkeyPatch, error: Exception, *, after: bool) -> None:
    def post(_message: Any, *, before: Any) -> None:
        if after:
            before()
        raise error

    monkeypatch.setattr(noticing, "post", post)


def test_a_server_that_is_busy_is_asked_again_ever_more_slowly(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    fail_with(monkeypatch, NotTaken("421 busy", permanent=False), after=True)
    notice = make_notice()
    at, pauses = NOON - timedelta(hours=3), []
    Notice.objects.update(send_at=at)
    for _ in range(4):
        assert send(notice, at) == "planned"
        pauses.append((notice.send_at - at) / timedelta(minutes=1))
        assert send(notice, at) == ""
        at = notice.send_at

    assert pauses == [1, 2, 4, 8]
    assert (notice.attempts, notice.handing_over_at) == (4, None)


def test_a_server_that_never_takes_it_leaves_it_to_a_person(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    fail_with(monkeypatch, NotTaken("421 busy", permanent=False), after=False)
    notice = make_notice(attempts=noticing.TRIES - 1)

    assert send(notice) == "held"


def test_an_address_that_is_refused_for_good_is_held(monkeypatch: pytest.MonkeyPatch) -> None:
    fail_with(monkeypatch, NotTaken("550 no such user", permanent=True), after=False)
    notice = make_notice()

    assert send(notice) == "held"
    assert notice.state_reason == "550 no such user"


def test_where_nobody_can_tell_it_is_held(monkeypatch: pytest.MonkeyPatch) -> None:
    fail_with(monkeypatch, CannotTell("line broke"), after=True)
    notice = make_notice()

    assert send(notice) == "held"
    assert "cannot be told" in notice.state_reason
    assert send(notice) == ""


def test_words_that_cannot_be_written_are_held(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(noticing, "write", lambda *_args, **_named: 1 / 0)
    notice = make_notice()

    assert send(notice) == "held"
    assert "cannot be written" in notice.state_reason


def test_a_claim_that_died_before_the_handing_over_is_sent_again() -> None:
    notice = make_notice(state="claimed", claimed_at=NOON)

    notices.send_due(NOON + CLAIM_LASTS - timedelta(seconds=1))
    notice.refresh_from_db()
    assert notice.state == "claimed"
    notices.send_due(NOON + CLAIM_LASTS)
    assert send(notice, NOON + CLAIM_LASTS) == "sent"


def test_a_claim_that_died_while_handing_over_is_held() -> None:
    notice = make_notice(state="claimed", claimed_at=NOON, handing_over_at=NOON)

    notices.send_due(NOON + CLAIM_LASTS)
    notice.refresh_from_db()

    assert notice.state == "held"
    assert "cannot be told" in notice.state_reason


def test_a_week_of_outage_ends_in_one_letter_a_home() -> None:
    """One notice waits since before it, three plants come due in it, and the sweeps make it up."""
    home, neighbour = make_home(), make_home()
    for days, where in ((42, home), (49, home), (51, home), (55, home), (50, neighbour)):
        make_watch(plant=make_plant(home=where), opens_on=TODAY + timedelta(days=days))
    assert notices.plan_notices(NOON) == 1

    for hours in (0, 1, 24):
        at = NOON + timedelta(days=7, hours=hours)
        notices.plan_notices(at)
        for notice in Notice.objects.due(at):
            send(notice, at)

    assert len(mail.outbox) == 2
    assert Notice.objects.filter(state="joined", home=home).count() == 3
    assert Notice.objects.filter(state="sent").count() == 2


def test_a_worker_that_lost_its_claim_sends_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    notice = make_notice()
    real = mailing.mail_of

    def slow(*args: Any) -> EmailMultiAlternatives:
        message = real(*args)
        monkeypatch.setattr(noticing, "mail_of", real)
        notices.send_due(NOON + CLAIM_LASTS)
        assert noticing.send(pk=notice.pk, at=NOON + CLAIM_LASTS) == "sent"
        return message

    monkeypatch.setattr(noticing, "mail_of", slow)

    assert send(notice) == ""
    assert len(mail.outbox) == 1


def test_a_person_sends_a_held_notice_again_or_drops_it() -> None:
    again, never = (make_notice(state="held", state_reason="550 no such user") for _ in range(2))

    noticing.release(pk=again.pk, at=NOON)
    noticing.drop(pk=never.pk, reason="wrong address")

    assert send(again) == "sent"
    never.refresh_from_db()
    assert (never.state, never.state_reason) == ("dropped", "wrong address")
    with pytest.raises(noticing.NotDecidable):
        noticing.release(pk=again.pk, at=NOON)
    with pytest.raises(noticing.NotDecidable):
        noticing.drop(pk=again.pk, reason="too late")


def test_hands_what_is_due_to_workers_once_in_a_while(monkeypatch: pytest.MonkeyPatch) -> None:
    handed: list[int] = []

    class Asked:
        def __init__(self, _task: str, kwargs: dict[str, int]) -> None:
            self.pk = kwargs["pk"]

        def apply_async(self, **_how: Any) -> None:
            handed.append(self.pk)

    monkeypatch.setattr("warranties.notices.handing.signature", Asked)
    due = make_notice()
    make_notice(send_at=NOON + timedelta(minutes=1))
    make_notice(channel="letter")
    make_notice(state="held")

    assert notices.send_due(NOON) == 1
    assert notices.send_due(NOON) == 0
    assert notices.send_due(NOON + CLAIM_LASTS) == 2

    assert handed[0] == due.pk
    assert handed.count(due.pk) == 2


def test_what_is_due_at_night_waits_for_the_morning() -> None:
    notice = make_notice(send_at=datetime(2026, 3, 3, 3, 59, tzinfo=UTC))

    assert notices.send_due(datetime(2026, 3, 3, 4, 0, tzinfo=UTC)) == 0
    notice.refresh_from_db()
    assert notice.send_at == datetime(2026, 3, 3, 15, 0, tzinfo=UTC)
