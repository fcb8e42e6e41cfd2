"""What of ours waits for the office: callbacks, calls for help, notices that are held, texts."""

from collections.abc import Iterable
from datetime import date, datetime

from django.urls import reverse
from django.utils.timezone import get_default_timezone

from jobs.tray import MOST, Waiting, ago
from warranties.models import Callback, IncomingText, Notice
from warranties.notices.failing import failed_of, unreachable

DAYS = 2  # A report that nobody looked at for longer is late; one of a sting is late at once.

ARRIVES_NOT = {
    "mail": "Mail to {who} came back {when}",
    "text": "The number of {who} gets no texts, as was found {when}",
}


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


def waiting_notices(now: datetime) -> Iterable[Waiting]:
    """Households that asked for help, and notices that wait for a decision. Two queries."""
    asked = Notice.objects.asking_for_help().select_related("home", "plant", "household")
    for notice in asked.order_by("answered_at")[:MOST]:
        on = _day(notice, notice.answered_at or now)
        when = ago(on, _day(notice, now))
        what = f"for help with the {notice.plant}" if notice.plant else "for their check"
        text = f"{notice.household}, {notice.home.street}, asked {what}"
        yield Waiting(f"{text} {when}", "help them", reverse("outbox"), on)
    held = Notice.objects.filter(state="held").select_related("home", "household")
    for notice in held.order_by("send_at")[:MOST]:
        text = f"The {notice.get_kind_display()} notice for {notice.household} is held"
        yield Waiting(text, "decide", reverse("outbox"), _day(notice, notice.send_at))


def waiting_texts(now: datetime) -> Iterable[Waiting]:
    """Texts that nobody has read yet. One query."""
    for text in IncomingText.objects.for_a_person().select_related("household")[:MOST]:
        on, today = (each.astimezone(get_default_timezone()).date() for each in (text.at, now))
        who = text.household or text.phone
        yield Waiting(f"{who} wrote a text {ago(on, today)}", "read it", reverse("outbox"), on)


def waiting_addresses(now: datetime) -> Iterable[Waiting]:
    """Households whose mail or texts do not arrive. Two queries."""
    today = now.astimezone(get_default_timezone()).date()
    for household in unreachable()[:MOST]:
        for each in failed_of(household):
            on = each.since.astimezone(get_default_timezone()).date() if each.since else today
            text = ARRIVES_NOT[each.channel].format(who=household, when=ago(on, today))
            address = reverse("address", args=[household.pk, each.channel])
            yield Waiting(text, "correct it", address, on)


def _day(notice: Notice, moment: datetime) -> date:
    return moment.astimezone(notice.home.tz).date()
