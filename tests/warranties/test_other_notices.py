"""Notices of visits, certificates and checks."""

from datetime import date, timedelta
from decimal import Decimal
from email import message_from_bytes
from typing import Any

import pytest
from django.core import mail
from django.core.files.base import ContentFile
from django.core.mail import EmailMultiAlternatives
from django.test import Client
from django.utils.timezone import now
from icalendar import Calendar

from customers.links import link_token
from customers.models import HouseholdLink, Plant
from jobs.actions import booking
from tests.factories import (
    NOON,
    TODAY,
    make_check,
    make_crew,
    make_home,
    make_household,
    make_paperless,
    make_plant,
    make_promise,
)
from warranties.actions import noticing, watching
from warranties.growth import OddReading
from warranties.models import Certificate, Notice, Reading, Watch
from warranties.notices import plan_notices

pytestmark = pytest.mark.django_db


def send_all() -> list[EmailMultiAlternatives]:
    mail.outbox.clear()
    for notice in Notice.objects.filter(state="planned", channel="mail").order_by("pk"):
        noticing.send(pk=notice.pk, at=notice.send_at)
    return [each for each in mail.outbox if isinstance(each, EmailMultiAlternatives)]


def calendar_of(message: EmailMultiAlternatives) -> Any:
    (part,) = [
        part
        for part in message_from_bytes(message.message().as_bytes()).walk()
        if part.get_filename() == "visit.ics"
    ]
    content = part.get_payload(decode=True)
    assert isinstance(content, bytes)
    return Calendar.from_ical(content)


def visit(**home: Any) -> Any:
    return booking.book(
        crew=make_crew(),
        home=make_home(**home),
        purpose="check",
        starts_at=NOON + timedelta(days=1),
        ends_at=NOON + timedelta(days=1, hours=2),
        at=NOON,
    )


def test_a_booked_visit_is_confirmed_with_its_calendar_entry() -> None:
    booked = visit(street="14 Juniper Bend")

    (message,) = send_all()

    assert message.subject == "Your visit on Tuesday, March 3, 2026"
    assert "from 12:00 PM to 2:00 PM" in message.body
    calendar = calendar_of(message)
    (event,) = calendar.walk("VEVENT")
    assert (str(event["UID"]), str(calendar["METHOD"])) == (booked.uid, "PUBLISH")


def test_only_the_last_word_about_a_visit_goes_out() -> None:
    booked = visit()
    booking.move(
        booking=booked,
        starts_at=NOON + timedelta(days=2),
        ends_at=NOON + timedelta(days=2, hours=1),
        at=NOON,
    )

    (message,) = send_all()

    assert message.subject == "Your visit has moved to Wednesday, March 4, 2026"
    assert Notice.objects.filter(state="dropped").count() == 1


def test_a_visit_that_was_never_told_of_is_cancelled_in_silence() -> None:
    booking.cancel(booking=visit(), at=NOON)

    assert send_all() == []


def test_a_cancelled_visit_leaves_the_calendar() -> None:
    booked = visit(household=make_household(language="es"))
    send_all()
    booking.cancel(booking=booked, at=NOON)

    (message,) = send_all()

    assert message.subject.startswith("Se canceló su visita del martes 3 de marzo")
    assert str(calendar_of(message)["METHOD"]) == "CANCEL"


def test_a_printed_certificate_is_sent_once_and_found_on_my_home(client: Client) -> None:
    promise = make_promise()
    make_paperless(household=promise.holder)
    certificate = Certificate(promise=promise, issued_at=NOON, sha256="ab")
    certificate.file.save("c.pdf", ContentFile(b"%PDF-1.7 certificate"))
    make_unprinted = make_promise()
    Certificate.objects.create(promise=make_unprinted, issued_at=NOON)
    old = make_promise()
    Certificate.objects.create(promise=old, issued_at=NOON - timedelta(days=15), sha256="cd")

    assert (plan_notices(NOON), plan_notices(NOON)) == (1, 0)
    (message,) = send_all()

    name, content, kind = message.attachments[0]
    assert (name, content, kind) == (
        f"{promise.number}.pdf",
        b"%PDF-1.7 certificate",
        "application/pdf",
    )
    HouseholdLink.objects.update(expires_at=now() + timedelta(days=1))
    token = link_token(HouseholdLink.objects.get())
    assert promise.number in client.get(f"/my-home/{token}/").content.decode()
    fetched = client.get(f"/my-home/{token}/certificates/{promise.number}/")
    assert fetched.getvalue() == b"%PDF-1.7 certificate"
    assert client.get(f"/my-home/{token}/certificates/{old.number}/").status_code == 404


def test_a_check_is_told_of_three_weeks_ahead_once() -> None:
    soon = make_check(due_on=TODAY + timedelta(days=21))
    make_check(due_on=TODAY + timedelta(days=23))
    make_check(due_on=TODAY, done_on=TODAY)

    assert (plan_notices(NOON), plan_notices(NOON)) == (1, 0)

    notice = Notice.objects.get()
    assert (notice.kind, notice.home, notice.due_on) == ("seal-check", soon.home, soon.due_on)
    (message,) = send_all()
    assert "is due by March 23, 2026" in message.body


def test_the_household_asks_to_be_called_for_its_check(client: Client) -> None:
    make_check(due_on=TODAY)
    plan_notices(NOON)
    send_all()
    notice = Notice.objects.get()
    HouseholdLink.objects.update(expires_at=now() + timedelta(days=1))
    token = link_token(HouseholdLink.objects.get())

    assert client.get(f"/my-home/{token}/notices/{notice.pk}/done/").status_code == 404
    assert (
        "agree a day" in client.get(f"/my-home/{token}/notices/{notice.pk}/help/").content.decode()
    )
    client.post(f"/my-home/{token}/notices/{notice.pk}/help/")

    assert list(Notice.objects.asking_for_help()) == [notice]


def read(plant: Plant, day: date, clear: int, **fields: Any) -> Watch:
    reading = Reading(plant=plant, on=day, clearance_mm=Decimal(clear), **fields)
    return watching.keep_reading(reading=reading, today=TODAY + timedelta(days=90))


def test_a_reading_is_kept_and_forecast() -> None:
    plant = make_plant()

    first = read(plant, TODAY, 305)
    second = read(plant, TODAY + timedelta(days=60), 100)

    assert first.opens_on is not None
    assert second.opens_on is not None
    assert first.earliest_on is not None
    assert first.latest_on is not None
    assert first.earliest_on <= first.opens_on < first.latest_on
    assert second.rate_mm > first.rate_mm
    assert second.earliest_on is not None
    assert second.latest_on is not None
    assert second.latest_on - second.earliest_on < first.latest_on - first.earliest_on
    assert (second.cycle, Watch.objects.count()) == (first.cycle, 1)


def test_an_odd_reading_is_asked_about_and_kept_when_confirmed() -> None:
    plant = make_plant()
    read(plant, TODAY, 1200)

    with pytest.raises(OddReading, match="It grew"):
        read(plant, TODAY + timedelta(days=1), 200)
    assert Reading.objects.count() == 1

    read(plant, TODAY + timedelta(days=1), 200, confirmed=True)
    read(plant, TODAY + timedelta(days=2), 199)
    assert Reading.objects.count() == 3


def test_a_cut_begins_a_new_growth() -> None:
    plant = make_plant()
    first = read(plant, TODAY, 50)
    cut = read(plant, TODAY + timedelta(days=1), 48, trimmed_to_mm=Decimal(305))

    assert cut.cycle == Reading.objects.latest("pk").pk
    assert first.opens_on is not None
    assert cut.opens_on is not None
    assert cut.opens_on > first.opens_on


def test_a_plant_that_touches_opens_at_once() -> None:
    watch = read(make_plant(), TODAY, 0)

    assert (watch.touching, watch.opens_on) == (True, TODAY)


def test_another_chance_moves_every_day_at_once() -> None:
    watches = [read(make_plant(kind=kind), TODAY, 300) for kind in ("lantana", "rosemary")]

    assert watching.forecast_all(chance=0.5) == 2
    assert watching.forecast_all(chance=0.5) == 0

    for before in watches:
        after = Watch.objects.get(pk=before.pk)
        assert before.opens_on is not None
        assert after.opens_on is not None
        assert after.opens_on > before.opens_on
        assert after.chance == 0.5
