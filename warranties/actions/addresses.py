"""An address that did not work is put right: what it kept from going out goes out by it."""

from datetime import datetime

from django.db import transaction
from django.db.models import QuerySet

from customers.models import Household
from warranties.actions import noticing
from warranties.models import Notice
from warranties.notices.escalating import unheard
from warranties.notices.joining import take_apart
from warranties.notices.reaching import channel_for


@transaction.atomic
def correct_address(*, household: Household, channel: str, address: str, at: datetime) -> int:
    """Keep the right address, the same one where it works again; return how many notices go anew.

    Those are what came back and has not gone on, what took another channel and still waits there,
    and what is held for want of one; of all only what is still true.
    """
    field, failed = ("mail", "mail_failed") if channel == "mail" else ("phone", "text_failed")
    changed = {field: address, failed: "", f"{failed}_at": None, f"{failed}_said": ""}
    for name, value in changed.items():
        setattr(household, name, value)
    household.save(update_fields=list(changed))
    mine = Notice.objects.filter(household=household).select_related("household", "home", "plant")
    taken = _take_back(mine, channel)
    return taken + _release(mine, channel, at) + _tell_again(household, channel, at)


def _tell_again(household: Household, channel: str, at: datetime) -> int:
    """What came back and reached them by nothing else."""
    back = unheard(at).filter(household=household, channel=channel, bounced_at__isnull=False)
    rows = back.select_related("household", "home", "plant", "booking")
    planned = [noticing.plan(_following(each), at) for each in rows]
    return len([each for each in planned if each])


def _following(missed: Notice) -> Notice:
    same = ("household", "home", "plant", "booking", "kind", "lead", "due_on", "facts", "tried")
    facts = {name: getattr(missed, name) for name in same}
    return Notice(**facts, after=missed, occasion=f"{missed.occasion}>")


def _take_back(mine: QuerySet[Notice], channel: str) -> int:
    """What followed by another channel and is not on its way there yet."""
    take_apart(mine)
    taken = 0
    follows = mine.filter(state="planned", after__channel=channel).exclude(channel=channel)
    for notice in follows.exclude(after__bounced_at=None):
        notice.tried = " ".join(each for each in notice.tried.split() if each != channel)
        if channel_for(notice) == channel:
            values = {"channel": channel, "tried": notice.tried, "handed_at": None}
            taken += mine.filter(pk=notice.pk, state="planned").update(**values)
    return taken


def _release(mine: QuerySet[Notice], channel: str, at: datetime) -> int:
    held = mine.filter(state="held", channel=channel, state_reason__startswith=noticing.NO_OTHER)
    keys = list(held.values_list("pk", flat=True))
    for key in keys:
        noticing.release(pk=key, at=at)
    return len(keys)
