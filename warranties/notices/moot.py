"""Whether a notice that was planned is still to be said."""

from collections.abc import Callable, Sequence
from datetime import datetime

from customers.models import Ownership
from jobs.actions.paying import due
from jobs.models import Booking, Job
from warranties.models import Notice, Transfer

SEEN = "They have seen what it follows."
TOMORROW = "They are told in the same message that the visit is tomorrow."
BEFORE_A_VISIT = ("visit-booked", "visit-tomorrow", "visit-on-the-way")


def moot(parts: Sequence[Notice], at: datetime) -> dict[int, str]:
    """Return why, by its key, for each part of a message that is not to be said any more.

    One query about homes, and a few for what is about a job or a transfer.
    """
    held = Ownership.objects.filter(
        household=parts[0].household_id, home__in={each.home_id for each in parts}, until=None
    )
    homes = set(held.values_list("home_id", flat=True))
    reasons = {each.pk: _twice(each, parts) or _reason(each, homes, at) for each in parts}
    return {key: reason for key, reason in reasons.items() if reason}


def _twice(notice: Notice, parts: Sequence[Notice]) -> str:
    same = [each.kind for each in parts if each.booking_id == notice.booking_id]
    return TOMORROW if notice.kind == "visit-booked" and "visit-tomorrow" in same else ""


def _reason(notice: Notice, homes: set[int], at: datetime) -> str:
    if notice.after and (notice.after.seen_at or notice.after.answer):
        return SEEN
    if owed := OWED.get(notice.kind):
        return owed(notice)
    if notice.booking and (reason := _of_a_visit(notice, notice.booking, at)):
        return reason
    if notice.home_id not in homes:
        return "The household does not hold the home any more."
    return _of_a_plant(notice) if notice.kind == "trim-back" else ""


def _of_a_plant(notice: Notice) -> str:
    stands = notice.plant and notice.plant.removed_on is None and not notice.answer
    return "" if stands else "There is nothing left to cut."


def _of_a_visit(notice: Notice, visit: Booking, at: datetime) -> str:
    if notice.kind == "visit-report":
        return "" if visit.done_at else "The visit is not made after all."
    if notice.kind not in BEFORE_A_VISIT:
        return ""
    if visit.cancelled_at or visit.done_at:
        return "The visit is cancelled, or made."
    return "The visit is over." if visit.ends_at <= at else ""


def _of_a_job(notice: Notice) -> str:
    """An offer that is no longer open, a balance that was paid. Four queries at most."""
    job = Job.objects.filter(number=notice.facts["job"]).first()
    if job is None:
        return "The job is gone."
    if notice.kind == "balance" and due(job) <= 0:
        return "It was paid."
    open_offer = job.offers.filter(number=notice.facts.get("offer"), state="sent")
    if notice.kind == "offer" and not open_offer.exists():
        return "The offer is not open any more."
    return ""


def _of_a_transfer(notice: Notice) -> str:
    """The new household does not hold the home yet: only the transfer itself can be moot."""
    transfer = Transfer.objects.open().filter(pk=notice.facts["transfer"]).first()
    if transfer is None:
        return "The transfer is closed."
    said = transfer.voice_of(notice.household).agreed_at
    return "They have said yes already." if said else ""


# Owed to who agreed or is to agree, whoever holds the home.
OWED: dict[str, Callable[[Notice], str]] = {
    "offer": _of_a_job,
    "receipt": _of_a_job,
    "balance": _of_a_job,
    "transfer": _of_a_transfer,
    "agreement": lambda _notice: "",
    "offer-paper": lambda _notice: "",
}
