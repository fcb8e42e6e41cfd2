"""The office's pages: watch list, outbox, letters, calls, kept mails."""

import io
from datetime import UTC, datetime, timedelta
from typing import Any

import pikepdf
import pytest
from django.core.mail import EmailMultiAlternatives
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils.timezone import localdate, now
from pytest_django import Settings
from time_machine import TimeMachineFixture

from jobs.tray import waiting
from shared.kept import KeptHead, kept_names, read_head, read_kept
from shared.outbox import OutboxBackend
from tests.factories import (
    NOON,
    make_crew,
    make_home,
    make_household,
    make_job,
    make_notice,
    make_plant,
    make_watch,
)
from warranties.actions import letters
from warranties.models import Notice, Watch

pytestmark = pytest.mark.django_db


def watched(street: str, days: int, **home: Any) -> Watch:
    day = localdate() + timedelta(days=days)
    plant = make_plant(home=make_home(street=street, **home))
    return make_watch(plant=plant, opens_on=day, earliest_on=day, latest_on=day)


def shown(client: Client, address: str = "/watch-list/") -> str:
    return client.get(address).content.decode()


def test_the_watch_list_begins_with_the_most_urgent(office: Client) -> None:
    for street, days in (("3 Later Lane", 90), ("1 Late Lane", -3), ("2 Soon Street", 12)):
        watched(street, days)
    make_watch(opens_on=None, plant=make_plant(home=make_home(street="4 Never Row")))

    page = shown(office)

    places = [page.index(street) for street in ("1 Late", "2 Soon", "3 Later")]
    assert places == sorted(places)
    assert "4 Never Row" not in page
    assert "3 plants watched" in page


def test_says_who_does_what(office: Client) -> None:
    silent = watched("1 Silent Street", -3)
    make_notice(watch=silent, lead=3, state="sent", sent_at=now() - timedelta(days=9))
    asking = watched("2 Helpless Hill", 9)
    make_notice(watch=asking, state="sent", sent_at=now(), answer="help")
    told = watched("3 Told Terrace", 30)
    make_notice(watch=told, state="sent", sent_at=now())
    make_notice(watch=watched("4 Held Hill", 30), state="held")
    watched("5 Far Field", 100)

    rows = shown(office).split("<tr>")[2:]

    said = {row.split("</a>")[0].rsplit(">", 1)[-1]: row for row in rows}
    assert "no answer: call them" in said["1 Silent Street"]
    assert "they ask for help" in said["2 Helpless Hill"]
    assert "cut it back" in said["3 Told Terrace"]
    assert "decide it in the outbox" in said["4 Held Hill"]
    assert "first notice in the week of" in said["5 Far Field"]


def test_a_notice_of_growth_cut_since_says_nothing_of_the_new_growth(office: Client) -> None:
    watch = watched("1 New Growth", 100)
    make_notice(watch=watch, occasion="trim-back:plant-0:999:1", state="sent", sent_at=NOON)

    assert "first notice in the week of" in shown(office)


def test_filters_live_in_the_address(office: Client) -> None:
    here = watched("1 Here", 9, neighbourhood="Eastside")
    watched("2 There", 9, neighbourhood="Westside")
    crew = make_crew()
    make_job(home=here.plant.home, crew=crew)
    here.plant.kind = "rosemary"
    here.plant.save()

    for query in ("neighbourhood=Eastside", f"crew={crew.pk}", "kind=rosemary"):
        page = shown(office, f"/watch-list/?{query}")
        assert "1 Here" in page
        assert "2 There" not in page


def test_the_watch_list_asks_as_often_for_many_as_for_few(office: Client) -> None:
    watched("1 First", 1)
    shown(office)
    with CaptureQueriesContext(connection) as few:
        shown(office)
    for number in range(12):
        watched(f"{number} More", number)

    with CaptureQueriesContext(connection) as many:
        shown(office)
    assert len(many) <= len(few)


def test_a_check_is_booked_from_the_watch_list(office: Client) -> None:
    watch = watched("1 Here", 9)
    make_notice(watch=watch, state="sent", sent_at=now(), answer="help")

    answer = office.post(f"/watch-list/homes/{watch.plant.home_id}/check/")

    assert answer.headers["Location"] == f"/diary/?home={watch.plant.home_id}&purpose=check"
    assert "1 Here" in shown(office, answer.headers["Location"])
    assert not Notice.objects.asking_for_help().exists()


def test_the_tray_shows_calls_for_help_and_held_notices() -> None:
    make_notice(state="sent", sent_at=NOON, answer="help", answered_at=NOON)
    make_notice(state="held", state_reason="550 no such user")

    said = [each.text for each in waiting(NOON)]

    assert any("asked for help with the lantana" in text for text in said)
    assert any("is held" in text for text in said)


def test_a_held_notice_is_sent_or_dropped_by_a_person(office: Client) -> None:
    sent, dropped = (make_notice(state="held", state_reason="cut off") for _ in range(2))
    assert "cut off" in shown(office, "/outbox/")

    office.post(f"/outbox/notices/{sent.pk}/decide/", {"do": "send"})
    office.post(f"/outbox/notices/{dropped.pk}/decide/", {"do": "drop"})
    again = office.post(f"/outbox/notices/{dropped.pk}/decide/", {"do": "send"}, follow=True)

    states = dict(Notice.objects.values_list("pk", "state"))
    assert states == {sent.pk: "planned", dropped.pk: "dropped"}
    assert "not held any more" in again.content.decode()


def test_a_call_for_help_is_taken_on(office: Client) -> None:
    notice = make_notice(state="sent", sent_at=NOON, answer="help", answered_at=NOON)

    office.post(f"/outbox/notices/{notice.pk}/take-on/")

    assert "Nothing waits for you" in shown(office, "/outbox/")


def test_letters_are_gathered_once_and_printed_at_will(office: Client) -> None:
    spanish = make_home(household=make_household(language="es", postal_address="PO Box 7\nYuma"))
    watch = make_watch(plant=make_plant(home=spanish))
    make_notice(watch=watch, channel="letter", language="es")
    make_notice(channel="letter")
    make_notice(channel="letter", send_at=now() + timedelta(days=1))
    assert "2 letters to be printed" in shown(office, "/outbox/")

    for _ in range(2):
        office.post("/outbox/letters/")

    (batch,) = letters.batches()
    assert batch["letters"] == 2
    pdf = office.get(f"/outbox/letters/{batch['batch']}/")
    with pikepdf.open(io.BytesIO(pdf.content)) as pages:
        assert len(pages.pages) == 2
    assert set(Notice.objects.filter(state="sent").values_list("batch", flat=True)) == {
        batch["batch"]
    }
    assert office.get("/outbox/letters/2026-999/").status_code == 404


def test_calls_are_listed_with_what_to_say(office: Client) -> None:
    notice = make_notice(channel="call")

    page = shown(office, "/outbox/calls/")
    assert "12 inches" in page
    assert "+16025550123" in page
    office.post(f"/outbox/calls/{notice.pk}/called/")

    notice.refresh_from_db()
    assert (notice.state, notice.state_reason) == ("sent", "Called by office.")
    assert "Nobody is to be called" in shown(office, "/outbox/calls/")


def keep_mail() -> str:
    message = EmailMultiAlternatives("¡Hola! <b>", "plain <script>alert(1)</script>", to=["a@b.c"])
    message.attach_alternative("<p onclick='x()'>html</p><script>alert(1)</script>", "text/html")
    message.attach("visit.ics", b"BEGIN:VCALENDAR", "text/calendar")
    OutboxBackend().send_messages([message])

    return kept_names(1)[0]


def test_kept_mails_are_shown_safely(office: Client) -> None:
    name = keep_mail()

    assert "¡Hola! &lt;b&gt;" in shown(office, "/outbox/")
    page = shown(office, f"/outbox/mails/{name}/")
    assert "&lt;script&gt;alert(1)" in page
    assert "visit.ics" in page
    apart = office.get(f"/outbox/mails/{name}/html/")
    policy = apart.headers["Content-Security-Policy"]
    assert "sandbox" in policy
    assert "default-src 'none'" in policy
    assert "script-src" not in policy
    whole = office.get(f"/outbox/mails/{name}/?as=file")
    assert whole.headers["Content-Disposition"] == f'attachment; filename="{name}.eml"'
    assert whole.getvalue().startswith(b"Content-Type: multipart/mixed")


@pytest.mark.parametrize("name", ["..", "..%2f..%2fsecret_key", "nothing", ".%00"])
def test_no_other_file_is_shown(office: Client, settings: Settings, name: str) -> None:
    keep_mail()

    # A NUL in an address is refused before any page sees it.
    expected = 400 if "%00" in name else 404
    assert office.get(f"/outbox/mails/{name}/").status_code == expected


def test_moment_of_a_kept_mail_is_its_names() -> None:

    kept = read_kept(keep_mail())

    assert kept is not None
    assert abs(kept.at - datetime.now(UTC)) < timedelta(minutes=1)


def test_kept_mails_are_paged_and_only_the_heads_of_a_page_are_read(
    office: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(30):
        message = EmailMultiAlternatives(f"Number {number}.", "words", to=["a@b.example"])
        OutboxBackend().send_messages([message])
    read: list[str] = []

    def counted(name: str) -> KeptHead | None:
        read.append(name)
        return read_head(name)

    monkeypatch.setattr("warranties.views.outbox.read_head", counted)

    newest = shown(office, "/outbox/")
    oldest = shown(office, "/outbox/?mails=2")

    assert len(read) == 25 + 5
    assert "Number 29." in newest
    assert "Number 4." not in newest
    assert "Number 4." in oldest
    assert "Page 2 of 2" in oldest
    assert "a@b.example" in oldest


def test_says_how_many_wait_where_not_all_are_shown(office: Client) -> None:
    for number in range(27):
        make_notice(watch=watched(f"{number} Held Hill", 30), state="held")

    page = shown(office, "/outbox/")

    assert "25 of 27 held notices are shown" in page
    assert "calls for help are shown" not in page


@pytest.mark.parametrize(("hour", "quiet"), [(14, "Monday, 08:00"), (15, "")])
def test_a_call_says_until_when_it_is_quiet_there(
    office: Client, time_machine: TimeMachineFixture, hour: int, quiet: str
) -> None:
    """Seven hours behind UTC, whatever the clock of the office."""
    home = make_home(zone="America/Phoenix")
    make_notice(watch=make_watch(plant=make_plant(home=home)), channel="call", send_at=NOON)
    time_machine.move_to(NOON.replace(day=9, hour=hour), tick=False)

    page = shown(office, "/outbox/calls/")

    assert ("It is quiet there until" in page) == bool(quiet)
    assert quiet in page


def test_calls_are_paged(office: Client) -> None:
    for number in range(27):
        make_notice(watch=watched(f"{number} Call Court", 30), channel="call")

    first, second = shown(office, "/outbox/calls/"), shown(office, "/outbox/calls/?page=2")

    assert first.count("They are told") == 25
    assert second.count("They are told") == 2
    assert "27 calls in all" in second
