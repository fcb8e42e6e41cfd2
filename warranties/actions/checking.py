"""Checks asked for from the watch list: the visit itself is booked in the diary."""

from datetime import datetime

from customers.models import Home
from shared.models import User
from warranties.models import Notice


def take_calls_on(*, home: Home, by: User, at: datetime) -> int:
    """Take on the calls for help of a home that is about to be visited; return how many."""
    calls = Notice.objects.asking_for_help().filter(home=home)
    return calls.update(answer_handled_at=at, state_reason=f"{by} books a check."[:300])
