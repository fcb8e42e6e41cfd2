"""Notices sent, each once; notices of visits and certificates planned; held ones decided."""

import logging
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from typing import Any

from django.db import DatabaseError, transaction
from django.db.models import Case, DateTimeField, F, Value, When

from jobs.models import Booking
from shared.refusals import Refused
from warranties.actions.bouncing import mark_mail, mark_number
from warranties.models import Notice, Transfer
from warranties.notices.entrance import token_of
from warranties.notices.hours import may_write, next_hour
from warranties.notices.joining import leave_out, mark_told, parts_of, take_out
from warranties.notices.mailing import mail_of
from warranties.notices.moot import moot
from warranties.notices.posting import CannotTell, NotTaken, post
from warranties.notices.reaching import channel_for, channels_of
from warranties.notices.texting import post_text
from warranties.notices.writing import text_of, write

log = logging.getLogger(__name__)
FIRST_PAUSE = timedelta(minutes=1)
LONGEST_PAUSE = timedelta(hours=4)
TRIES = 14  # With these pauses: a day and a half.
NO_OTHER = "The address does not work, and they allow no other channel."
NO_CHANNEL = "The household lets us use no channel."
UNSURE = "The line broke while it was handed over: it cannot be told whether they have it."


class LostClaim(Exception):
    """Another worker has the notice by now: this one was too slow and sends nothing."""


class NotDecidable(Refused):
    """The notice is not held (any more). The message is fit to show a person."""


def send(*, pk: int, at: datetime) -> str:
    """Send a due notice with all that joined it, if nobody else has it; return its state.

    Never inside a transaction: each step is kept before the next, so that whoever comes after a
    crash knows how far this came.
    """
    # What only few have, a visit or a notice that they follow, is read where they have it.
    loaded = Notice.objects.select_related("household", "home", "plant")
    claimed = loaded.claim(pk=pk, at=at)
    if claimed is None:
        return ""
    parts = parts_of(claimed)
    if gone := moot(parts, at):
        if not _take_out(claimed, gone):
            return ""
        if claimed.pk in gone:
            return "dropped"
        parts = [each for each in parts if each.pk not in gone]
    channels = channels_of(parts)
    if claimed.channel != channels[claimed.pk]:
        return _reroute(claimed, channels)
    zones = {each.home.tz for each in parts}
    if not may_write(at, *zones):
        morning = next_hour(at, *zones)
        return _settle(claimed, state="planned", send_at=morning, handed_at=None)
    return _send(claimed, parts, at)


@transaction.atomic
def _take_out(notice: Notice, gone: dict[int, str]) -> bool:
    """Drop the parts that are moot; False where another worker has the message by now."""
    locked = Notice.objects.select_for_update().filter(
        pk=notice.pk, state="claimed", claimed_at=notice.claimed_at
    )
    mine = locked.first()
    if mine:
        take_out(mine, gone)
    return mine is not None


def _send(notice: Notice, parts: Sequence[Notice], at: datetime) -> str:
    try:
        give = _written(notice, parts, at)
    except DatabaseError:
        raise  # The claim lapses and another takes it up.
    except Exception as error:
        log.exception("Notice %s cannot be written.", notice.pk)
        return _settle(notice, state="held", state_reason=f"It cannot be written: {error}")
    try:
        give(lambda: _handing_over(notice, at))
    except LostClaim:
        return ""
    except CannotTell as error:
        return _settle(notice, state="held", state_reason=f"{UNSURE} ({error})")
    except NotTaken as error:
        return _refused(notice, parts, error, at)
    return _sent(notice, at) if len(parts) == 1 else _sent_with_others(notice, at)


def _written(
    notice: Notice, parts: Sequence[Notice], at: datetime
) -> Callable[[Callable[[], None]], None]:
    """Write the mail or the text; return what gives it to its server or gateway."""
    token = token_of(notice, at)
    written = write(notice, parts=parts, token=token, at=at)
    if notice.channel == "text":
        text = text_of(notice, written)
        return lambda before: post_text(text, before=before)
    mail = mail_of(notice, written, notice.household)
    return lambda before: post(mail, before=before)


def _sent(notice: Notice, at: datetime) -> str:
    return _settle(notice, state="sent", sent_at=at, state_reason="")


@transaction.atomic
def _sent_with_others(notice: Notice, at: datetime) -> str:
    if state := _sent(notice, at):
        mark_told([notice.pk], at)
    return state


def _handing_over(notice: Notice, at: datetime) -> None:
    """Keep that the mail server gets it now. Raises LostClaim where the claim went to another."""
    mine = Notice.objects.filter(pk=notice.pk, state="claimed", claimed_at=notice.claimed_at)
    if not mine.update(handing_over_at=at):
        raise LostClaim


def _settle(notice: Notice, **values: object) -> str:
    """Keep what became of the claim. A claim that lapsed meanwhile and was held is ours still."""
    reason = str(values.pop("state_reason", ""))[:300]
    mine = Notice.objects.filter(
        pk=notice.pk, state__in=("claimed", "held"), claimed_at=notice.claimed_at
    )
    settled = mine.update(state_reason=reason, **values)
    return str(values["state"]) if settled else ""


def _refused(notice: Notice, parts: Sequence[Notice], error: NotTaken, at: datetime) -> str:
    if error.no_such:
        return _go_on(notice, parts, str(error), at)
    attempts = notice.attempts + 1
    if error.permanent or attempts >= TRIES:
        return _settle(
            notice,
            state="held",
            state_reason=str(error),
            attempts=attempts,
            handing_over_at=None,
        )
    pause = min(FIRST_PAUSE * 2 ** (attempts - 1), LONGEST_PAUSE)
    return _settle(
        notice,
        state="planned",
        state_reason=str(error),
        attempts=attempts,
        send_at=at + pause,
        handed_at=None,
        handing_over_at=None,
    )


def _go_on(notice: Notice, parts: Sequence[Notice], said: str, at: datetime) -> str:
    """Mark the address as none; the notice takes another channel, or waits for a person."""
    household = notice.household
    if notice.channel == "mail":
        mark_mail(household=household.pk, address=household.mail, said=said, at=at)
    else:
        mark_number(household=household.pk, number=str(household.phone), said=said, at=at)
    for each in parts:
        each.household.refresh_from_db()
    channels = channels_of(parts)
    if channels[notice.pk]:
        return _reroute(notice, channels)
    return _settle(notice, state="held", state_reason=f"{NO_OTHER} {said}", handing_over_at=None)


@transaction.atomic
def _reroute(notice: Notice, channels: dict[int, str | None]) -> str:
    """Give each part of the message to the channel that the household allows now, or drop it.

    What waits for the same one joins again.
    """
    state = _settle(notice, **_over(channels[notice.pk]))
    if state:
        for key in channels.keys() - {notice.pk}:
            part = Notice.objects.filter(pk=key, joined_to=notice.pk)
            part.update(joined_to=None, **_over(channels[key]))
    return state


def _over(channel: str | None) -> dict[str, Any]:
    if channel is None:
        return {"state": "dropped", "state_reason": NO_CHANNEL}
    return {"state": "planned", "channel": channel, "handed_at": None}


@transaction.atomic
def plan_visit_notice(*, booking: Booking, change: str, at: datetime) -> Notice | None:
    """Plan to tell the household of a visit that was booked, moved or cancelled.

    What an earlier change left unsent is dropped: only the last word goes out. None where they
    were never told of the visit that is cancelled, or where no channel may be used.
    """
    earlier = Notice.objects.filter(booking=booking)
    leave_out(earlier, "Changed again before it was sent.")
    kind = "visit-cancelled" if change == "cancelled" else "visit-booked"
    if kind == "visit-cancelled" and not earlier.exclude(state="dropped").exists():
        return None
    household = booking.household
    if household is None:
        return None
    new = Notice(
        household=household,
        home=booking.home,
        booking=booking,
        kind=kind,
        occasion=f"{kind}:{booking.pk}:{booking.sequence}",
    )
    return plan(new, at)


@transaction.atomic
def plan_transfer_notices(*, transfer: Transfer, at: datetime) -> list[Notice]:
    """Plan to send each owner its own link, once, unless it has said yes already.

    None for a household that lets us use no channel: the office reads its address out.
    """
    told = Notice.objects.filter(kind="transfer", facts__transfer=transfer.pk).values("household")
    waiting = transfer.voices.filter(agreed_at=None).exclude(household__in=told)
    planned = [
        plan(
            Notice(
                household=voice.household,
                home=transfer.promise.home,
                kind="transfer",
                occasion=f"transfer:{transfer.pk}:{voice.household_id}",
                facts={"transfer": transfer.pk, "side": voice.side},
            ),
            at,
        )
        for voice in waiting.select_related("household")
    ]
    return [notice for notice in planned if notice]


def plan(new: Notice, at: datetime) -> Notice | None:
    """Keep a notice to be sent from then on. None where no channel may be used."""
    new.language = new.household.language
    new.send_at = next_hour(at, new.home.tz)
    channel = channel_for(new)
    if channel is None:
        return None
    new.channel = channel
    new.save()
    return new


def release(*, pk: int, at: datetime) -> None:
    """Send a held notice (again): a person has decided. Raises NotDecidable.

    One that somebody may have already goes with the same parts under the same Message-ID.
    """
    held = Notice.objects.filter(pk=pk, state="held")
    unsure = When(handing_over_at__isnull=False, then=Value(at))
    if not held.update(
        state="planned",
        send_at=at,
        attempts=0,
        handed_at=None,
        claimed_at=None,
        state_reason="",
        released_at=Case(unsure, default=F("released_at"), output_field=DateTimeField()),
    ):
        raise NotDecidable("This notice is not held any more.")


@transaction.atomic
def drop(*, pk: int, reason: str) -> None:
    """Do not send a notice that is held or waits, nor what joined it. Raises NotDecidable."""
    waiting = Notice.objects.select_for_update().filter(pk=pk, state__in=("held", "planned"))
    notice = waiting.first()
    if notice is None:
        raise NotDecidable("This notice is being sent, or was.")
    take_out(notice, {each.pk: reason for each in parts_of(notice)})
