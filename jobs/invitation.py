"""A visit as a calendar entry (.ics) for the household's mail.

RFC 5545; METHOD of RFC 5546: PUBLISH for a visit that stands, CANCEL for one that does not. There
is no ATTENDEE: the file holds our address and the home's, nothing else of a person. Times are in
UTC, so that no time zone table can be out of date. UID stays, SEQUENCE counts the changes.
"""

from datetime import UTC, datetime

from django.utils.translation import gettext, override
from icalendar import Calendar, Event, vCalAddress, vText

from jobs.models import Booking
from shared.firm import Firm


def invitation(booking: Booking, *, firm: Firm, language: str, at: datetime) -> bytes:
    """Return the .ics as bytes, written `at` (DTSTAMP). No query where the home is loaded."""
    standing = booking.cancelled_at is None
    calendar = Calendar()
    calendar.add("prodid", "-//Ringkeep//Diary//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH" if standing else "CANCEL")
    event = Event()
    event.add("uid", booking.uid)
    event.add("sequence", booking.sequence)
    event.add("dtstamp", at.astimezone(UTC))
    event.add("dtstart", booking.starts_at.astimezone(UTC))
    event.add("dtend", booking.ends_at.astimezone(UTC))
    event.add("status", "CONFIRMED" if standing else "CANCELLED")
    event.add("location", ", ".join(booking.home.address_lines))
    with override(language):
        event.add("summary", f"{firm.name}: {_purpose(booking.purpose)}")
        event.add("description", gettext("Questions, or another day? Call %s.") % firm.phone_shown)
    event.add("organizer", _organizer(firm))
    calendar.add_component(event)
    return calendar.to_ical()


def _purpose(purpose: str) -> str:
    return {
        "measure": gettext("measuring the outside of your home"),
        "fitting": gettext("fitting"),
        "check": gettext("check"),
        "callback": gettext("callback"),
    }[purpose]


def _organizer(firm: Firm) -> vCalAddress:
    address = vCalAddress(f"mailto:{firm.email}")
    address.params["cn"] = vText(firm.name)
    return address
