"""The mail of a notice: its headers, its picture, what it never carries."""

import re
from decimal import Decimal
from email import message_from_bytes
from email.message import Message
from email.utils import parseaddr
from io import BytesIO

import pytest
from django.core.mail import EmailMultiAlternatives
from PIL import Image
from pytest_django import Settings

from customers.models import Home
from tests.customers.plan.houses import feature, house
from tests.factories import (
    TODAY,
    make_home,
    make_household,
    make_notice,
    make_plan,
    make_plant,
    make_watch,
)
from tests.warranties.mails import html_of, send, sent

pytestmark = pytest.mark.django_db


def test_headers_let_mail_programs_leave_in_one_click(settings: Settings) -> None:
    settings.BASE_URL = "https://ring.example.com"
    send(notice := make_notice())

    headers = sent().message()

    assert headers["Message-ID"] == notice.message_id
    address = str(headers["List-Unsubscribe"]).split(",")[0].strip("<>")
    assert address.startswith("https://ring.example.com/unsubscribe/")
    assert headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert headers["Auto-Submitted"] == "auto-generated"


def test_without_https_no_one_click_is_offered() -> None:
    send(make_notice())

    headers = sent().message()

    assert str(headers["List-Unsubscribe"]).startswith("<mailto:")
    assert headers["List-Unsubscribe-Post"] is None


def planned_home() -> Home:
    home = make_home()
    shrub = feature("plant-1", "plant on the ground", leg="leg-2", clearance_mm=Decimal(300))
    make_plan(home=home, stage="fitted", document=house(shrub))
    return home


def parts_of(message: EmailMultiAlternatives) -> list[Message]:
    return list(message_from_bytes(message.message().as_bytes()).walk())


def test_shows_where_the_plant_stands_in_a_picture_of_its_own() -> None:
    spot_of = make_plant(home=planned_home(), mark="plant-1")
    send(make_notice(watch=make_watch(plant=spot_of, opens_on=TODAY)))

    parts = parts_of(sent())

    assert [part.get_content_type() for part in parts] == [
        "multipart/related",
        "multipart/alternative",
        "text/plain",
        "text/html",
        "image/png",
    ]
    name = str(parts[-1]["Content-ID"]).strip("<>")
    assert f'src="cid:{name}" alt="The home from above: the spot is at wall 2."' in html_of(sent())
    png = parts[-1].get_payload(decode=True)
    assert isinstance(png, bytes)
    assert Image.open(BytesIO(png)).size[0] == 720
    assert len(png) < 20_000
    assert "wall 2" in sent().body


def test_nothing_is_fetched_when_the_mail_is_opened() -> None:
    spot_of = make_plant(home=planned_home(), mark="plant-1")
    send(make_notice(watch=make_watch(plant=spot_of, opens_on=TODAY)))

    html = html_of(sent())

    assert re.findall(r'src="(?!cid:)', html) == []
    assert "url(" not in html
    assert "<link" not in html


def test_a_plan_that_does_not_show_the_plant_gives_no_picture() -> None:
    other = make_plant(home=planned_home(), mark="plant-9")
    send(make_notice(watch=make_watch(plant=other, opens_on=TODAY)))

    assert "<img" not in html_of(sent())
    assert parts_of(sent())[0].get_content_type() == "multipart/alternative"


def test_a_mail_server_can_sign_it(settings: Settings) -> None:
    """RFC 6376: one of each header, seven bits, lines of 998 at most, the domain of the sender."""
    settings.FIRM_EMAIL = "office@barrier.example"
    settings.DEFAULT_FROM_EMAIL = "Barrier <office@barrier.example>"
    home = make_home(household=make_household(name="Zoë " * 40, language="es"))
    send(make_notice(watch=make_watch(plant=make_plant(home=home)), language="es"))

    message = sent().message()
    lines = message.as_bytes(linesep="\r\n").split(b"\r\n")  # type: ignore[call-arg]  # Django's

    for name in ("From", "To", "Subject", "Date", "Message-ID", "MIME-Version", "Content-Type"):
        assert len(message.get_all(name) or []) == 1, name
    assert parseaddr(message["From"])[1].endswith("@barrier.example")
    assert str(message["Message-ID"]).endswith("@barrier.example>")
    assert max(map(len, lines)) <= 998
    assert b"\n" not in b"".join(lines)
    assert all(max(line, default=0) < 128 for line in lines)


def test_names_cannot_put_marks_or_headers_into_a_mail() -> None:
    home = make_home(street="1 Bend\r\nBcc: all@example.com")
    plant = make_plant(home=home, name="x](https://evil.example.com)\n\n# <b>bold</b>")
    send(make_notice(watch=make_watch(plant=plant, opens_on=TODAY)))

    message = sent()

    assert "\n" not in message.subject
    assert message.message()["Bcc"] is None
    assert "<b>" not in html_of(message)
    assert 'href="https://evil.example.com' not in html_of(message)
