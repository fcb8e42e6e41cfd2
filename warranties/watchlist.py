"""Who must do what by when, in one sentence a plant."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.conf import settings
from django.utils.formats import date_format

from warranties import growth
from warranties.models import Notice, Watch

SILENT = timedelta(days=14)  # So long a household is given to answer the last reminder.


@dataclass(frozen=True, slots=True)
class WatchRow:
    """`state` is a class of the style sheet: overdue, soon or nothing."""

    watch: Watch
    state: str
    word: str
    who: str
    what: str
    forecast: str

    @property
    def pk(self) -> int:
        return self.watch.pk


def watch_rows(watches: Iterable[Watch], *, today: date) -> list[WatchRow]:
    """Return a row for each watch, its last notice beside it. One query.

    The watches' plants, homes and households' names and phones are loaded.
    """
    rows = list(watches)
    notices = Notice.objects.filter(plant__in=[each.plant_id for each in rows], kind="trim-back")
    notices = notices.select_related("joined_to").order_by("pk")
    last = {notice.plant_id: notice for notice in notices}
    return [_row(each, _current(each, last.get(each.plant_id)), today) for each in rows]


def _current(watch: Watch, notice: Notice | None) -> Notice | None:
    """The notice, if it speaks of this growth and not of one cut since."""
    return notice if notice and f":{watch.cycle}:" in notice.occasion else None


def _row(watch: Watch, notice: Notice | None, today: date) -> WatchRow:
    who, what = _duty(watch, notice, today)
    state, word = _state(watch, today)
    return WatchRow(watch, state, word, who, what, _forecast(watch, today))


def _state(watch: Watch, today: date) -> tuple[str, str]:
    if watch.touching:
        return "overdue", "touches"
    if watch.opens_on is None:
        return "", "never"
    word = date_format(watch.opens_on, "j M Y")
    if watch.opens_on <= today:
        return "overdue", word
    soon = (watch.opens_on - today).days <= max(settings.NOTICE_LEADS)
    return ("soon" if soon else ""), word


def _duty(watch: Watch, notice: Notice | None, today: date) -> tuple[str, str]:
    """Who has to act now, and how."""
    if notice is None:
        return _untold(watch, today)
    if notice.answer == "help" and not notice.answer_handled_at:
        return "office", "they ask for help: book a check"
    if (notice.joined_to or notice).state == "held":
        return "office", "the notice is held: decide it in the outbox"
    if (notice.joined_to or notice).state in {"planned", "claimed"}:
        return "we", f"notice by {notice.get_channel_display()} on its way"
    return _told(watch, notice, today)


def _untold(watch: Watch, today: date) -> tuple[str, str]:
    if watch.opens_on is None:
        return "nobody", "nothing"
    first = watch.opens_on - timedelta(days=max(settings.NOTICE_LEADS))
    if first > today:
        return "nobody", f"first notice in the week of {date_format(first, 'j M Y')}"
    return "office", "no notice went out: call them"


def _told(watch: Watch, notice: Notice, today: date) -> tuple[str, str]:
    sent_at = (notice.joined_to or notice).sent_at
    if sent_at is None:
        return "office", f"the notice was dropped ({notice.state_reason or 'no reason'}): call them"
    on = sent_at.astimezone(watch.plant.home.tz).date()
    told = f"told by {notice.get_channel_display()} on {date_format(on, 'j M Y')}"
    last = notice.lead >= len(settings.NOTICE_LEADS)
    if last and (on + SILENT < today or (watch.opens_on and watch.opens_on < today)):
        return "office", f"{told}, no answer: call them"
    return "household", f"{told}: cut it back"


def _forecast(watch: Watch, today: date) -> str:
    found = growth.outlook(watch.earliest_on, watch.latest_on, today=today, touching=watch.touching)
    return growth.sentence(found, plant="It", today=today)
