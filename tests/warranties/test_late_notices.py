"""What waits for one household goes out as one message: after an outage, over every channel."""

from collections import Counter
from datetime import datetime, timedelta
from io import BytesIO
from typing import Any

import pikepdf
import pytest
from django.core import mail
from django.test import Client

from customers.actions import record_consent
from customers.models import Household
from tests.factories import (
    NOON,
    TODAY,
    make_booking,
    make_home,
    make_household,
    make_notice,
    make_plant,
    make_user,
    make_watch,
)
from tests.warranties.bundles import ALL, bundle, due_at
from tests.warranties.mails import html_of, send, sent
from tests.warranties.papers import text_of
from warranties import notices
from warranties.actions import letters, noticing
from warranties.models import Notice, Watch
from warranties.notices import handing, plan_notices
from warranties.notices.inserting import channel_of
from warranties.notices.joining import join_waiting, parts_of
from warranties.notices.reaching import channels_of
from warranties.notices.texting import kept_texts

pytestmark = pytest.mark.django_db


@pytest.fixture
def sweep(monkeypatch: pytest.MonkeyPatch) -> Any:
    """A sweep of the sender alone, its workers at once, two of them for every notice."""

    def run(at: datetime) -> None:
        asked: list[int] = []

        class Asked:
            def __init__(self, _task: str, kwargs: dict[str, int]) -> None:
                asked.append(kwargs["pk"])

            def apply_async(self, **_how: Any) -> None:
                return

        monkeypatch.setattr(handing, "signature", Asked)
        notices.send_due(at)
        for pk in asked * 2:
            noticing.send(pk=pk, at=at)

    return run


def mails_by_household() -> dict[str, int]:
    return Counter(address for message in mail.outbox for address in message.to)


@pytest.mark.parametrize("days", [7, 30])
def test_an_outage_ends_in_one_mail_a_household(days: int, sweep: Any) -> None:
    """Nothing ran for so long, and the sender's sweep comes before the planner's."""
    household, neighbour = (make_household(mail=f"{name}@example.com") for name in ("a", "b"))
    one, other = make_home(household=household), make_home(household=household)
    due_at(one, plants=3)
    due_at(other)
    due_at(make_home(household=neighbour), check=False)
    waited = make_notice(watch=make_watch(plant=make_plant(home=one), opens_on=TODAY))

    for hours in (0, 1, 24):
        at = NOON + timedelta(days=days, hours=hours)
        sweep(at)
        plan_notices(at)

    assert mails_by_household() == {"a@example.com": 1, "b@example.com": 1}
    told = Notice.objects.told().filter(household=household)
    assert Counter(told.values_list("kind", flat=True)) == {"trim-back": 5, "seal-check": 2}
    assert not Notice.objects.exclude(pk__in=Notice.objects.told()).exists()
    assert set(told.values_list("joined_to", flat=True)) == {waited.pk, None}
    assert set(told.values_list("sent_at", flat=True)) == {NOON + timedelta(days=days)}


def test_each_occasion_has_its_part_and_its_own_answer() -> None:
    carrier = bundle()

    assert send(carrier) == "sent"

    message = sent()
    assert message.subject == "Please cut back 2 plants at 14 Juniper Bend, and 2 more"
    for text in (str(message.body), html_of(message)):
        parts = ["cut back 2 plants", "Your follow-up check", "Plants begin to grow"]
        places = [text.rindex(part) for part in parts]
        assert places == sorted(places)
        assert text.count("Hello") == 1
        assert text.count("/unsubscribe/") == 1
        for notice in Notice.objects.exclude(kind="season"):
            assert text.count(f"/notices/{notice.pk}/help/") == 1
    assert message.message()["Message-ID"] == carrier.message_id
    joined = carrier.joined.values_list("state", "sent_at")
    assert list(joined) == [("joined", NOON)] * 3
    assert html_of(message).count("<h2") == 3
    assert html_of(message).count("<h3") == 2


def test_a_spanish_household_gets_all_parts_in_spanish() -> None:
    send(bundle(language="es"))

    message = sent()
    assert message.subject.endswith(", y 2 más")
    assert "Varios asuntos a la vez, el más urgente primero:" in message.body
    assert "Hello" not in message.body


def test_a_recall_goes_by_itself() -> None:
    carrier = bundle()
    recall = make_notice(
        watch=Watch.objects.first(), kind="recall", occasion="recall:1", plant=None, facts={}
    )
    for notice in (carrier, recall):
        send(notice)

    assert join_waiting(NOON) == 0
    assert [message.subject for message in mail.outbox] == [
        "Please cut back 2 plants at 14 Juniper Bend, and 2 more",
        "The seals at 14 Juniper Bend need a check",
    ]


def test_one_text_says_the_most_urgent_and_how_many_more() -> None:
    send(bundle("text"))

    (text,) = kept_texts(9)
    assert "cut back 2 plants at 14 Juniper Bend by April 11, 2026, and 2 more." in text.text
    assert "Reply STOP" in text.text
    assert text.segments == 2


def test_one_letter_is_gathered_and_counted_once(office: Client) -> None:
    carrier = bundle("letter")
    assert "1 letter to be printed" in office.get("/outbox/").content.decode()

    batch = letters.gather(by=make_user(), at=NOON)

    assert letters.batches()[0]["letters"] == 1
    assert set(Notice.objects.values_list("sent_at", flat=True)) == {NOON}
    pdf = letters.pdf_of(batch=batch, at=NOON) or b""
    with pikepdf.open(BytesIO(pdf)) as opened:
        assert len(opened.pages) == 2
    words = " ".join(text_of(pdf).split())
    assert words.count("14 Juniper Bend Mesquite Flat") == 1  # one address, for one window
    assert "there you tell us that it is done" in words
    assert carrier.joined.count() == 3


def test_one_call_tells_all(office: Client) -> None:
    carrier = bundle("call")
    page = office.get("/outbox/calls/").content.decode()
    assert page.count("They are told") == 1
    assert "is due by" in page

    letters.mark_called(pk=carrier.pk, by=make_user(), at=NOON)

    assert set(Notice.objects.values_list("sent_at", "seen_at")) == {(NOON, NOON)}


def test_the_day_before_says_what_the_booking_would_have_said() -> None:
    visit = make_booking(starts_at=NOON + timedelta(days=1), ends_at=NOON + timedelta(days=1.1))
    watch = make_watch(plant=make_plant(home=visit.home), opens_on=TODAY + timedelta(days=90))
    for kind in ("visit-booked", "visit-tomorrow"):
        make_notice(watch=watch, kind=kind, occasion=kind, plant=None, booking=visit)
    join_waiting(NOON)

    carrier = Notice.objects.get(state="planned")
    assert send(carrier) == "dropped"
    assert send(Notice.objects.get(state="planned")) == "sent"
    assert sent().subject == "We come tomorrow, Tuesday, March 3, 2026"


def test_the_database_and_the_worker_choose_the_same_channel() -> None:
    """The rule is written twice: for any number of rows, and for one that is in hand."""
    homes = []
    for number in range(24):
        household = make_household(
            channel_order=[ALL, ["text", "mail"], ["letter"], ALL[::-1]][number // 2 % 4],
            mail="" if number % 5 == 0 else f"{number}@example.com",
            phone="" if number % 3 == 0 else "+16025550123",
            text_failed="+16025550123" if number % 4 == 1 else "",
            mail_failed=f"{number}@example.com" if number % 7 == 0 else "",
        )
        for place, channel in enumerate(ALL):
            if number >> place & 1:
                given = number % 2 == place % 2
                record_consent(
                    household=household, channel=channel, given=given, how="said", at=NOON
                )
        homes.append(make_home(household=household))
    asked = Household.objects.annotate(use=channel_of()).values_list("pk", "use")

    chosen = {}
    for home in homes:
        household = home.household() or make_household()
        (chosen[household.pk],) = channels_of([Notice(home=home, household=household)]).values()

    assert dict(asked) == chosen
    assert set(chosen.values()) == {*ALL, None}


def test_a_part_counts_as_told_of_its_plant() -> None:
    carrier = bundle()
    send(carrier)

    for plant in Watch.objects.values_list("plant", flat=True):
        assert Notice.objects.told().filter(plant=plant).count() == 1
    assert [each.kind for each in parts_of(carrier)] == [
        *("trim-back", "trim-back", "seal-check", "season")
    ]
