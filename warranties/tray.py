"""What of ours waits for the office: callbacks that nobody looked at, decided or closed."""

from datetime import datetime

from jobs.tray import MOST, Waiting
from warranties.models import Callback

DAYS = 2  # A report that nobody looked at for longer is late; one of a sting is late at once.


def waiting_callbacks(now: datetime) -> list[Waiting]:
    """One query."""
    found = Callback.objects.open().for_a_page().order_by("reported_at", "pk")[:MOST]
    return [_waiting(each, now) for each in found]


def _waiting(callback: Callback, now: datetime) -> Waiting:
    home = callback.promise.home
    text, verb = {
        "reported": ("is not looked at yet", "send somebody"),
        "looked at": ("is looked at", "decide it"),
        "decided": ("is decided", "close it"),
    }[callback.stage]
    since = callback.reported_at.astimezone(home.tz).date()
    late = callback.is_about_a_sting or (now.astimezone(home.tz).date() - since).days > DAYS
    return Waiting(
        f"Callback {callback.number} at {home.street} {text}",
        verb,
        callback.get_absolute_url(),
        since,
        overdue=callback.stage == "reported" and late,
    )
