"""What a household says to a notice: cut, help me, no more mails."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from customers.actions import add_photo, record_consent
from customers.models import Photo
from shared.models import User
from shared.photos import CleanPhoto
from warranties.actions.seeing import see
from warranties.actions.watching import keep_reading
from warranties.models import Notice, Reading
from warranties.notices.joining import leave_out


@transaction.atomic
def say_done(*, notice: Notice, at: datetime) -> Notice:
    """The household has cut the plant back: read it as trimmed today, and forecast it anew.

    Saying it again changes nothing. Nothing is learned of the plant's rate: nobody measured.
    """
    mine = _answer(notice, "done", at)
    if mine and notice.plant and notice.plant.removed_on is None:
        today = at.astimezone(notice.home.tz).date()
        plant = notice.plant
        reading = Reading(
            plant=plant, on=today, trimmed_to_mm=Decimal(plant.needs_mm), way="household"
        )
        keep_reading(reading=reading, today=today)
        _stop(notice, at)
    notice.refresh_from_db()
    return notice


@transaction.atomic
def show_done(*, notice: Notice, clean: CleanPhoto) -> Photo | None:
    """Keep a photograph of what was cut with its reading; None where one is wanted no more.

    One for each "done".
    """
    reading = unseen_cut(notice)
    if reading is None:
        return None
    caption = f"Cut back by the household: {notice.plant}"
    reading.photo = add_photo(home=notice.home, clean=clean, caption=caption, by=None)
    reading.save(update_fields=["photo"])
    return reading.photo


def unseen_cut(notice: Notice) -> Reading | None:
    """Return the reading that "done" made, as long as it has no photograph. One query."""
    if notice.answer != "done" or notice.answered_at is None:
        return None
    on = notice.answered_at.astimezone(notice.home.tz).date()
    made = Reading.objects.filter(plant=notice.plant, way="household", on=on)
    last = made.order_by("pk").last()
    return last if last and last.photo_id is None else None


@transaction.atomic
def say_help(*, notice: Notice, at: datetime) -> Notice:
    """The household asks for help: the office's tray shows it until somebody took it on."""
    _answer(notice, "help", at)
    notice.refresh_from_db()
    return notice


def _answer(notice: Notice, answer: str, at: datetime) -> bool:
    """Note the answer once. A call for help may still become "done"; "done" stays."""
    open_ones = Notice.objects.filter(pk=notice.pk).exclude(answer__in=("done", answer))
    see(key=notice.pk, household=notice.household_id, at=at)
    return bool(open_ones.update(answer=answer, answered_at=at))


def _stop(notice: Notice, at: datetime) -> None:
    """Drop what still waits about the same plant, and settle its open calls for help."""
    same = Notice.objects.filter(plant=notice.plant, kind=notice.kind)
    leave_out(same, "The household has cut it.")
    same.asking_for_help().update(answer_handled_at=at)


@transaction.atomic
def take_on(*, notice: Notice, by: User, at: datetime) -> None:
    """Somebody of the office took the call for help on."""
    Notice.objects.asking_for_help().filter(pk=notice.pk).update(
        answer_handled_at=at, state_reason=f"Taken on by {by}."[:300]
    )


def leave_channel(*, notice: Notice, at: datetime, channel: str = "mail") -> None:
    """The household wants nothing more over that channel. Again changes nothing."""
    record_consent(
        household=notice.household, channel=channel, given=False, how="the link in a notice", at=at
    )
