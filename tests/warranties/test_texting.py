"""Texts: given to a real HTTP server on loopback, or kept; what households text back."""

import json
import threading
from collections.abc import Iterator
from datetime import timedelta
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils.timezone import now
from pytest_django import Settings

from customers.actions import record_consent
from tests.factories import NOON, make_home, make_household, make_notice, make_plant, make_watch
from warranties import replies
from warranties.actions import hearing, noticing
from warranties.models import IncomingText, Notice
from warranties.notices import plan_notices
from warranties.notices.posting import CannotTell, NotTaken
from warranties.notices.texting import Text, kept_texts, post_text

TOKEN, SECRET = "a token", "between us"
HELLO = Text("notice-1-abc", "+16025550123", "Hello ñ", 1)


class Gateway(HTTPServer):
    """A text gateway that answers as it is told to."""

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), Asked)
        self.status = 202
        self.taken: list[tuple[str, str | None, dict[str, Any]]] = []


class Asked(BaseHTTPRequestHandler):
    server: Gateway

    def do_POST(self) -> None:
        body = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
        self.server.taken.append((self.path, self.headers["Authorization"], body))
        if self.server.status:
            self.send_response(self.server.status)
            self.end_headers()

    def log_message(self, *_args: Any) -> None:
        return


@pytest.fixture
def gateway(settings: Settings) -> Iterator[Gateway]:
    server = Gateway()
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    settings.TEXT_GATEWAY_URL = f"http://127.0.0.1:{server.server_port}/send?v=1"
    settings.TEXT_GATEWAY_TOKEN = TOKEN
    yield server
    server.shutdown()
    thread.join()
    server.server_close()


def kept(settings: Settings) -> list[dict[str, Any]]:
    files = sorted(Path(settings.TEXTS_DIR).glob("*.jsonl"))
    return [json.loads(line) for file in files for line in file.read_text().splitlines()]


def outcome(steps: list[str] | None = None) -> Exception | None:
    try:
        post_text(HELLO, before=lambda: (steps if steps is not None else []).append("before"))
    except (NotTaken, CannotTell) as error:
        return error
    return None


def texted(**fields: Any) -> Notice:
    household = make_household(mail="", **fields)
    record_consent(household=household, channel="text", given=True, how="told us", at=NOON)
    plant = make_plant(home=make_home(household=household, street="14 Juniper Bend"))
    watch = make_watch(plant=plant)
    return make_notice(watch=watch, channel="text", language=household.language)


def test_the_gateway_gets_the_message_after_the_mark(gateway: Gateway) -> None:
    steps: list[str] = []

    assert outcome(steps) is None

    assert steps == ["before"]
    assert gateway.taken == [("/send?v=1", f"Bearer {TOKEN}", HELLO._asdict())]


@pytest.mark.parametrize(
    ("status", "error", "permanent"),
    [
        (200, None, None),
        (409, None, None),  # it has it already
        (400, NotTaken, True),
        (401, NotTaken, True),
        (429, NotTaken, False),
        (503, NotTaken, False),
        (500, CannotTell, None),
        (302, CannotTell, None),
        (0, CannotTell, None),  # it hangs up without an answer
    ],
)
def test_every_answer_is_told_apart(
    gateway: Gateway, status: int, error: type[Exception] | None, permanent: bool | None
) -> None:
    gateway.status = status

    found = outcome()

    assert type(found) is (error or type(None))
    assert getattr(found, "permanent", None) == permanent


def test_no_gateway_is_known_before_the_mark(gateway: Gateway, settings: Settings) -> None:
    settings.TEXT_GATEWAY_URL = "http://127.0.0.1:1/"
    steps: list[str] = []

    found = outcome(steps)

    assert isinstance(found, NotTaken)
    assert (found.permanent, steps) == (False, [])


def test_no_text_goes_out_in_the_clear(settings: Settings) -> None:
    settings.TEXT_GATEWAY_URL = "http://texts.example.com/"

    assert isinstance(outcome(), NotTaken)


def test_without_a_gateway_texts_are_kept(settings: Settings) -> None:
    assert outcome() is None
    assert outcome() is None

    first, _second = kept(settings)
    assert first.pop("at")
    assert first == HELLO._asdict()


@pytest.mark.django_db
def test_kept_texts_are_shown_newest_first(office: Client) -> None:
    post_text(HELLO, before=lambda: None)
    post_text(HELLO._replace(text="<b>¡Hola!", segments=2), before=lambda: None)

    page = office.get("/outbox/").content.decode()

    assert "in 2 parts: <q>&lt;b&gt;¡Hola!</q>" in page
    assert page.index("¡Hola!") < page.index("Hello ñ")
    assert [each.text for each in kept_texts(1)] == ["<b>¡Hola!"]


@pytest.mark.django_db
def test_a_notice_by_text_is_sent_once_and_says_how_to_end(settings: Settings) -> None:
    notice = texted()

    assert noticing.send(pk=notice.pk, at=NOON) == "sent"
    assert noticing.send(pk=notice.pk, at=NOON) == ""

    (text,) = kept(settings)
    assert text["to"] == "+16025550123"
    assert text["id"] == notice.message_id.strip("<>")
    assert text["text"].startswith("Dry Creek Barrier Co.: please cut back the lantana at 14 Jun")
    assert "/my-home/" in text["text"]
    assert text["text"].endswith("Reply STOP to end.")
    assert text["segments"] == 2


@pytest.mark.django_db
def test_the_spanish_household_gets_a_spanish_text(settings: Settings) -> None:
    noticing.send(pk=texted(language="es").pk, at=NOON)

    assert "Responda ALTO" in kept(settings)[0]["text"]


@pytest.mark.django_db
def test_a_text_of_which_nobody_can_tell_is_held(gateway: Gateway) -> None:
    gateway.status = 500
    notice = texted()

    assert noticing.send(pk=notice.pk, at=NOON) == "held"


@pytest.mark.django_db
def test_texts_keep_the_quiet_hours(settings: Settings) -> None:
    notice = texted()
    night = NOON.replace(hour=4) + timedelta(days=1)

    assert noticing.send(pk=notice.pk, at=night) == "planned"
    assert kept(settings) == []


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("order", "consent", "phone", "channel"),
    [
        (["text", "mail"], True, "+16025550123", "text"),
        (["mail", "text"], True, "+16025550123", "mail"),
        (["text", "mail"], False, "+16025550123", "mail"),
        (["text", "letter"], None, "+16025550123", "letter"),
        (["text", "letter"], True, "", "letter"),
    ],
)
def test_the_households_order_and_consent_decide(
    order: list[str], consent: bool | None, phone: str, channel: str
) -> None:
    household = make_household(channel_order=order, phone=phone)
    if consent is not None:
        record_consent(household=household, channel="text", given=consent, how="said", at=NOON)
    make_watch(
        plant=make_plant(home=make_home(household=household)),
        opens_on=NOON.date() + timedelta(days=30),
    )

    plan_notices(NOON)

    assert Notice.objects.get().channel == channel


@pytest.mark.parametrize(
    ("words", "heard", "plain"),
    [
        # ../shared/standards/law.md 5.5, M-22, M-23; 47 CFR 64.1200(a)(10)
        *((word, "stop", True) for word in ("STOP", " Stop. ", "Opt out", "cancel", "quit", "END")),
        *(
            (word, "stop", True)
            for word in ("revoke", "Unsubscribe", "opt-out", "ALTO", "¡No más!")
        ),
        ("please no more texts", "stop", False),
        ("Don’t text me", "stop", False),
        ("Please STOP sending these", "stop", False),
        ("ya no me escriban", "stop", False),
        ("HELP", "help", True),
        ("Ayuda", "help", True),
        ("Done, thank you", "", False),
        ("the weekend is fine", "", False),
        ("can you help with the vine", "", False),
        ("", "", False),
    ],
)
def test_hears_what_a_text_asks_for(words: str, heard: str, plain: bool) -> None:
    assert (replies.heard(words), replies.plain(words)) == (heard, plain)


def consents(notice: Notice) -> bool:
    return notice.household.consents.get(channel="text").given


def bring(words: str, *, secret: str = SECRET, **fields: str) -> tuple[int, Any]:
    body = {"id": "in-1", "from": "(602) 555-0123", "text": words, **fields}
    answer = Client(enforce_csrf_checks=True).post(
        "/texts/incoming/",
        json.dumps(body),
        content_type="application/json",
        headers={"Authorization": f"Bearer {secret}"},
    )
    return answer.status_code, answer


@pytest.fixture
def secret(settings: Settings) -> None:
    settings.TEXT_WEBHOOK_SECRET = SECRET


@pytest.mark.django_db
@pytest.mark.usefixtures("secret")
def test_stop_counts_at_once_and_is_confirmed_once(settings: Settings) -> None:
    notice = texted()

    assert bring("Stop.")[0] == 200
    assert bring("Stop.")[0] == 200  # the gateway brings it again

    assert not consents(notice)
    (answer,) = kept(settings)
    assert answer["to"] == "+16025550123"
    assert "no more texts" in answer["text"]
    assert noticing.send(pk=notice.pk, at=NOON) == "planned"
    notice.refresh_from_db()
    assert notice.channel == "letter"


@pytest.mark.django_db
@pytest.mark.usefixtures("secret")
def test_unsure_words_stop_and_are_shown_to_a_person(office: Client) -> None:
    notice = texted()

    bring("please no more texts")

    assert not consents(notice)
    assert "please no more texts" in office.get("/outbox/").content.decode()
    assert "wrote a text today" in office.get("/tray/").content.decode()
    office.post(f"/outbox/texts/{IncomingText.objects.get().pk}/read/")
    assert "please no more texts" not in office.get("/outbox/").content.decode()


@pytest.mark.django_db
@pytest.mark.usefixtures("secret")
def test_help_is_answered_and_changes_nothing(settings: Settings) -> None:
    notice = texted()

    bring("HELP")

    assert consents(notice)
    assert "Call us" in kept(settings)[0]["text"]


@pytest.mark.django_db
@pytest.mark.usefixtures("secret")
def test_other_words_wait_for_a_person_and_get_no_answer(settings: Settings) -> None:
    notice = texted()

    bring("Done!")

    assert consents(notice)
    assert kept(settings) == []
    assert [each.words for each in IncomingText.objects.for_a_person()] == ["Done!"]


@pytest.mark.django_db
@pytest.mark.usefixtures("secret")
@pytest.mark.parametrize(
    ("fields", "status"),
    [
        ({"secret": "guessed"}, 404),
        ({"from": "nobody"}, 400),
        ({"id": ""}, 400),
        ({"text": 7}, 400),
    ],
)
def test_what_cannot_be_trusted_or_read_changes_nothing(fields: Any, status: int) -> None:
    notice = texted()

    assert bring("STOP", **fields)[0] == status

    assert consents(notice)
    assert not IncomingText.objects.exists()


@pytest.mark.django_db
def test_without_a_secret_nothing_comes_in() -> None:
    assert bring("STOP", secret="")[0] == 404


@pytest.mark.django_db
@pytest.mark.parametrize(("minutes", "answers"), [(4, 1), (6, 0)])
def test_no_confirmation_after_five_minutes(
    gateway: Gateway, settings: Settings, minutes: int, answers: int
) -> None:
    """M-24: the gateway was away when the text came."""
    texted()
    at = now()
    hearing.hear(gateway_id="in-1", phone="+16025550123", words="STOP", at=at)
    gateway.status = 503
    assert hearing.answer_soon(at) == 0
    gateway.status = 202
    gateway.taken.clear()

    assert hearing.answer_soon(at + timedelta(minutes=minutes)) == answers
    assert hearing.answer_soon(at + timedelta(minutes=minutes)) == 0

    assert len(gateway.taken) == answers
