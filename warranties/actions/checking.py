"""Checks asked for from the watch list: a job of its own, on its way to the diary."""

from datetime import datetime

from django.db import transaction

from customers.models import Home
from jobs.actions import asking
from jobs.models import Job
from shared.models import User
from warranties.models import Notice


class NobodyHoldsIt(Exception):
    """The home has no household to visit. The message is fit to show a person."""


@transaction.atomic
def ask_check(*, home: Home, by: User, at: datetime) -> Job:
    """Return the home's open check job, or open one; calls for help are taken on with it."""
    Home.objects.select_for_update().get(pk=home.pk)
    calls = Notice.objects.asking_for_help().filter(home=home)
    calls.update(answer_handled_at=at, state_reason=f"A check is booked by {by}."[:300])
    if known := Job.objects.open().filter(home=home, kind="check").first():
        return known
    household = home.household()
    if household is None:
        raise NobodyHoldsIt(f"Nobody holds {home.street} at present.")
    day = at.astimezone(home.tz).date()
    return asking.ask(home=home, household=household, kind="check", source="other", on=day)
