"""Whether a household saw a notice: it opened my home by the notice's own link, or answered."""

from datetime import datetime

from django.db import transaction
from django.db.models import Q

from customers.models import HouseholdLink
from warranties.models import Notice
from warranties.notices.entrance import told_by
from warranties.notices.joining import leave_out
from warranties.notices.moot import SEEN


def see_by_link(*, link: HouseholdLink, at: datetime) -> None:
    """Note that what the link came with was seen. A link of no notice notes nothing."""
    if key := told_by(link):
        see(key=key, household=link.household_id, at=at)


@transaction.atomic
def see(*, key: int, household: int, at: datetime) -> None:
    """Note that the notice and what went out with it was seen, and stop what would follow them.

    The first time counts.
    """
    mine = Notice.objects.filter(Q(pk=key) | Q(joined_to=key), household=household)
    if mine.filter(seen_at=None).update(seen_at=at):
        leave_out(Notice.objects.filter(after__in=mine), SEEN)
