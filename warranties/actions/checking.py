"""Checks asked for from the watch list, made at the home, and the seal check that comes next."""

from datetime import date, datetime

from django.db import transaction

from customers.models import Home
from shared.models import User
from shared.refusals import Refused
from warranties import sealing, sealwords
from warranties.models import Check, Notice


class NotFinishable(Refused):
    """The check was made already. The message is fit to show a person."""


def take_calls_on(*, home: Home, by: User, at: datetime) -> int:
    """Take on the calls for help of a home that is about to be visited; return how many."""
    calls = Notice.objects.asking_for_help().filter(home=home)
    return calls.update(answer_handled_at=at, state_reason=f"{by} books a check."[:300])


@transaction.atomic
def finish_check(*, check: Check, findings: str, on: date, by: User) -> Check | None:
    """Note that a check was made and what was found; return the seal check that it plans, if any.

    Raises NotFinishable where somebody was faster.
    """
    open_ones = Check.objects.filter(pk=check.pk, done_on=None)
    if not open_ones.update(done_on=on, findings=findings, by=by):
        raise NotFinishable("This check is marked as made already.")
    check.refresh_from_db()
    return None if check.kind == "trim" else plan_seal_check(home=check.home, today=on)


def plan_seal_check(*, home: Home, today: date) -> Check | None:
    """Plan the next seal check of a home, unless one waits that is due no later."""
    due = sealing.next_check(home, today=today)
    if due is None:
        return None
    waiting = home.checks.filter(done_on=None, kind__in=("seal", "both"), due_on__lte=due.on)
    if waiting.exists():
        return None
    step = due.step
    sooner = (
        {**step.because._asdict(), "months": step.months, "ratio": step.ratio}
        if step.because
        else {}
    )
    return Check.objects.create(
        home=home, kind="seal", due_on=due.on, reason=sealwords.BY_AGE, sooner=sooner
    )
