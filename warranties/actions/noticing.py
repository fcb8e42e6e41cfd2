"""Notices sent, each once; notices of visits and certificates planned; held ones decided."""

import logging
from collections.abc import Callable
from datetime import datetime, timedelta

from django.db import DatabaseError, transaction
from django.db.models import Value

from customers.models import Household, Ownership
from jobs.actions.paying import due
from jobs.models import Booking, Job
from shared.refusals import Refused
from warranties.actions import seeing
from warranties.actions.bouncing import mark_mail, mark_number
from warranties.models import Notice, Transfer
from warranties.notices.fields import joined
from warranties.notices.hours import may_write, next_hour
from warranties.notices.inserting import channel_of
from warranties.notices.inwriting import IN_WRITING, written_channel_of
from warranties.notices.mailing import mail_of
from warranties.notices.posting import CannotTell, NotTaken, post
from warranties.notices.texting import post_text
from warranties.notices.writing import text_of, write

log = logging.getLogger(__name__)
FIRST_PAUSE = timedelta(minutes=1)
LONGEST_PAUSE = timedelta(hours=4)
OF_A_JOB = ("offer", "receipt", "balance")
BEFORE_A_VISIT = ("visit-tomorrow", "visit-on-the-way")
TRIES = 14  # With these pauses: a day and a half.
OF_A_SALE = ("agreement", "offer-paper")  # Owed to who agreed, whoever holds the home.
NO_OTHER = "The address does not work, and they allow no other channel."
UNSURE = "The line broke while it was handed over: it cannot be told whether they have it."


class LostClaim(Exception):
    """Another worker has the notice by now: this one was too slow and sends nothing."""


class NotDecidable(Refused):
    """The notice is not held (any more). The message is fit to show a person."""


def send(*, pk: int, at: datetime) -> str:
    """Send a due notice, if it is still to be sent and nobody else has it; return its state.

    Never inside a transaction: each step is kept before the next, so that whoever comes after a
    crash knows how far this came.
    """
    loaded = Notice.objects.select_related("household", "home", "plant", "booking", "after")
    notice = loaded.filter(pk=pk)
    if not Notice.objects.claim(pk=pk, at=at):
        return ""
    claimed = notice.get()
    if reason := _moot(claimed, at):
        return _settle(claimed, state="dropped", state_reason=reason)
    if claimed.channel != (channel := channel_for(claimed)):
        return _reroute(claimed, channel)
    if not may_write(at, claimed.home.tz):
        morning = next_hour(at, claimed.home.tz)
        return _settle(claimed, state="planned", send_at=morning, handed_at=None)
    return _send(claimed, at)


def _send(notice: Notice, at: datetime) -> str:
    try:
        give = _written(notice, at)
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
        return _refused(notice, error, at)
    return _settle(notice, state="sent", sent_at=at, state_reason="")


def _written(notice: Notice, at: datetime) -> Callable[[Callable[[], None]], None]:
    """Write the mail or the text; return what gives it to its server or gateway."""
    written = write(notice, at=at)
    if notice.channel == "text":
        text = text_of(notice, written)
        return lambda before: post_text(text, before=before)
    mail = mail_of(notice, written, notice.household)
    return lambda before: post(mail, before=before)


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


def _refused(notice: Notice, error: NotTaken, at: datetime) -> str:
    if error.no_such:
        return _go_on(notice, str(error), at)
    attempts = notice.attempts + 1
    if error.permanent or attempts >= TRIES:
        return _settle(notice, state="held", state_reason=str(error), attempts=attempts)
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


def _go_on(notice: Notice, said: str, at: datetime) -> str:
    """Mark the address as none; the notice takes another channel, or waits for a person."""
    household = notice.household
    if notice.channel == "mail":
        mark_mail(household=household.pk, address=household.mail, said=said, at=at)
    else:
        mark_number(household=household.pk, number=str(household.phone), said=said, at=at)
    if channel := channel_for(notice):
        return _reroute(notice, channel)
    return _settle(notice, state="held", state_reason=f"{NO_OTHER} {said}")


def _moot(notice: Notice, at: datetime) -> str:
    """Why the notice is not to be sent any more, or "". A few queries."""
    if notice.after and (notice.after.seen_at or notice.after.answer):
        return seeing.SEEN
    if notice.kind == "transfer" or notice.kind in OF_A_JOB + OF_A_SALE:
        return _moot_transfer(notice) if notice.kind == "transfer" else _moot_job(notice)
    if notice.booking and (reason := _moot_visit(notice, notice.booking, at)):
        return reason
    holds = Ownership.objects.filter(home=notice.home_id, household=notice.household_id, until=None)
    if not holds.exists():
        return "The household does not hold the home any more."
    if notice.kind != "trim-back":
        return ""
    open_ones = [
        each
        for each in [notice, *joined(notice)]
        if each.plant and each.plant.removed_on is None and not each.answer
    ]
    return "" if open_ones else "There is nothing left to cut."


def _moot_visit(notice: Notice, visit: Booking, at: datetime) -> str:
    if notice.kind == "visit-report":
        return "" if visit.done_at else "The visit is not made after all."
    if notice.kind not in BEFORE_A_VISIT:
        return ""
    if visit.cancelled_at or visit.done_at:
        return "The visit is cancelled, or made."
    return "The visit is over." if visit.ends_at <= at else ""


def _moot_job(notice: Notice) -> str:
    """An offer that is no longer open, a balance that was paid. Four queries at most."""
    if notice.kind in OF_A_SALE:
        return ""
    job = Job.objects.filter(number=notice.facts["job"]).first()
    if job is None:
        return "The job is gone."
    if notice.kind == "balance" and due(job) <= 0:
        return "It was paid."
    open_offer = job.offers.filter(number=notice.facts.get("offer"), state="sent")
    if notice.kind == "offer" and not open_offer.exists():
        return "The offer is not open any more."
    return ""


def _moot_transfer(notice: Notice) -> str:
    """The new household does not hold the home yet: only the transfer itself can be moot."""
    transfer = Transfer.objects.open().filter(pk=notice.facts["transfer"]).first()
    if transfer is None:
        return "The transfer is closed."
    said = transfer.voice_of(notice.household).agreed_at
    return "They have said yes already." if said else ""


def channel_for(notice: Notice) -> str | None:
    """The channel that the household allows now. One query."""
    asked = Household.objects.filter(pk=notice.household_id).annotate(tried=Value(notice.tried))
    use = written_channel_of if notice.kind in IN_WRITING else channel_of
    return asked.values_list(use(tried="tried" if notice.tried else "")).get()[0]


def _reroute(notice: Notice, channel: str | None) -> str:
    """Give the notice to the channel that the household allows now, or drop it."""
    if channel is None:
        reason = "The household lets us use no channel."
        return _settle(notice, state="dropped", state_reason=reason)
    return _settle(notice, state="planned", channel=channel, handed_at=None)


@transaction.atomic
def plan_visit_notice(*, booking: Booking, change: str, at: datetime) -> Notice | None:
    """Plan to tell the household of a visit that was booked, moved or cancelled.

    What an earlier change left unsent is dropped: only the last word goes out. None where they
    were never told of the visit that is cancelled, or where no channel may be used.
    """
    earlier = Notice.objects.filter(booking=booking)
    unsent = earlier.filter(state="planned")
    unsent.update(state="dropped", state_reason="Changed again before it was sent.")
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
    """Send a held notice (again): a person has decided. Raises NotDecidable."""
    held = Notice.objects.filter(pk=pk, state="held")
    if not held.update(
        state="planned", send_at=at, attempts=0, handed_at=None, claimed_at=None, state_reason=""
    ):
        raise NotDecidable("This notice is not held any more.")


def drop(*, pk: int, reason: str) -> None:
    """Do not send a notice that is held or waits. Raises NotDecidable."""
    waiting = Notice.objects.filter(pk=pk, state__in=("held", "planned"))
    if not waiting.update(state="dropped", state_reason=reason[:300]):
        raise NotDecidable("This notice is being sent, or was.")
