"""What a test of messages of several notices begins with."""

from datetime import timedelta
from typing import Any

from customers.actions import record_consent
from customers.models import Home
from tests.factories import (
    NOON,
    TODAY,
    make_check,
    make_home,
    make_household,
    make_notice,
    make_plant,
    make_watch,
)
from warranties.models import Notice, Watch
from warranties.notices import plan_notices

ALL = ["mail", "text", "letter", "call"]


def due_at(home: Home, *, plants: int = 1, check: bool = True) -> None:
    for number in range(plants):
        plant = make_plant(home=home, name=("lantana", "sage", "rosemary")[number])
        make_watch(plant=plant, opens_on=TODAY + timedelta(days=40 + number))
    if check:
        make_check(home=home, due_on=TODAY + timedelta(days=20))


def bundle(channel: str = "mail", **household: Any) -> Notice:
    """A season's word that waits, joined by two plants and a check: the one that carries them."""
    first = make_household(channel_order=[channel, *ALL], **household)
    record_consent(household=first, channel="text", given=True, how="told us", at=NOON)
    home = make_home(household=first, street="14 Juniper Bend")
    plan_of = {"channel": channel, "language": first.language}
    due_at(home, plants=2)
    make_notice(
        watch=Watch.objects.filter(plant__home=home).first(),
        kind="season",
        occasion="season:1",
        plant=None,
        due_on=None,
        **plan_of,
    )
    plan_notices(NOON)
    return Notice.objects.get(household=first, state="planned")
