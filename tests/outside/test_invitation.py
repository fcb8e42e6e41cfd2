"""Calendar entries by RFC 5545, read back by a second parser (vobject)."""

import re
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import vobject

from jobs.invitation import invitation
from shared.firm import Firm
from tests.factories import NOON, make_booking, make_home

pytestmark = pytest.mark.django_db
FIRM = Firm(
    name="Dry Creek; Barrier, Co.",
    address="12 Depot Road, Mesquite Flat, AZ 85000",
    phone="+16025550100",
    email="office@example.com",
    currency="USD",
    units="imperial",
    base_url="http://127.0.0.1:8000",
    envelope="us10",
)
WRITTEN = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)


def lines(ics: bytes) -> list[str]:
    """Unfolded lines by RFC 5545 3.1: CRLF and one space or tab continue a line."""
    return re.sub(r"\r\n[ \t]", "", ics.decode()).split("\r\n")


def test_a_second_parser_reads_the_same_visit() -> None:
    home = make_home(street="14 Juniper Bend", unit="Casita ñ, b")
    booking = make_booking(home=home, sequence=3)

    ics = invitation(booking, firm=FIRM, language="en", at=WRITTEN)

    event = vobject.readOne(ics.decode()).vevent
    assert event.uid.value == booking.uid
    assert event.sequence.value == "3"
    assert event.dtstart.value == NOON
    assert event.dtend.value == NOON + timedelta(hours=2)
    assert event.location.value == "14 Juniper Bend, Casita ñ, b, Mesquite Flat, AZ 85000"
    assert event.summary.value == "Dry Creek; Barrier, Co.: fitting"
    assert event.status.value == "CONFIRMED"
    assert event.organizer.value == "mailto:office@example.com"


def test_required_properties_once() -> None:
    """3.6, 3.6.1, 3.7.4, 3.8.7.2; METHOD and its place in RFC 5546 1.4."""
    text = lines(invitation(make_booking(), firm=FIRM, language="en", at=WRITTEN))

    names = [re.split("[:;]", line)[0] for line in text]
    for name in ("PRODID", "VERSION", "METHOD", "UID", "DTSTAMP", "DTSTART", "DTEND", "ORGANIZER"):
        assert names.count(name) == 1, name
    assert "DURATION" not in names
    assert "ATTENDEE" not in names
    assert "VERSION:2.0" in text
    assert "METHOD:PUBLISH" in text
    assert "DTSTAMP:20260301T093000Z" in text
    assert "DTSTART:20260302T190000Z" in text


def test_cancelled_visit_withdraws_the_same_entry() -> None:
    booking = make_booking(cancelled_at=NOON, sequence=1)

    text = lines(invitation(booking, firm=FIRM, language="en", at=WRITTEN))

    assert "METHOD:CANCEL" in text
    assert "STATUS:CANCELLED" in text
    assert "SEQUENCE:1" in text
    assert f"UID:{booking.uid}" in text


def test_line_ends_and_folding() -> None:
    """3.1: CRLF only, at most 75 octets a line, never folded inside a character."""
    home = make_home(street="ñ" * 90, city="San José de las Matas")

    ics = invitation(make_booking(home=home), firm=FIRM, language="es", at=WRITTEN)

    assert re.search(rb"(?<!\r)\n|\r(?!\n)", ics) is None
    for line in ics.split(b"\r\n"):
        assert len(line) <= 75
        line.decode()  # raises inside a character
    assert "LOCATION:" + "ñ" * 90 + "\\, San José" in "\n".join(lines(ics))


def test_text_is_escaped() -> None:
    """3.3.11: backslash, semicolon, comma and newline; never the colon."""
    home = make_home(street="1 Back \\ Side; gate, left")

    text = lines(invitation(make_booking(home=home), firm=FIRM, language="en", at=WRITTEN))

    assert any(line.startswith("LOCATION:1 Back \\\\ Side\\; gate\\, left") for line in text)
    assert "SUMMARY:Dry Creek\\; Barrier\\, Co.: fitting" in text


def test_two_exports_are_one_entry() -> None:
    booking = make_booking()

    first = lines(invitation(booking, firm=FIRM, language="en", at=WRITTEN))
    again = lines(invitation(booking, firm=FIRM, language="en", at=WRITTEN + timedelta(minutes=1)))

    assert [a for a, b in zip(first, again, strict=True) if a != b] == ["DTSTAMP:20260301T093000Z"]


def test_no_person_is_named() -> None:
    booking = make_booking()
    household = booking.home.household()
    assert household is not None

    ics = invitation(booking, firm=FIRM, language="en", at=WRITTEN).decode()

    assert household.name not in ics
    assert household.mail not in ics
    assert "5550123" not in ics


def test_a_visit_across_the_change_of_the_clock_keeps_its_length() -> None:
    """1 November 2026: Denver repeats the hour from 1:00 to 2:00."""
    denver = ZoneInfo("America/Denver")
    booking = make_booking(
        starts_at=datetime(2026, 11, 1, 0, 30, tzinfo=denver),
        ends_at=datetime(2026, 11, 1, 3, 30, tzinfo=denver),
    )

    event = vobject.readOne(
        invitation(booking, firm=FIRM, language="en", at=WRITTEN).decode()
    ).vevent

    assert event.dtend.value - event.dtstart.value == timedelta(hours=4)
