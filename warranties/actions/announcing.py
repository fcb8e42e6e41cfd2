"""Work at a home is announced, moved by announcing it anew, or dropped; a check follows it."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import override

from customers.models import Home
from shared.models import User
from shared.refusals import Refused
from warranties.models import Announced, Check

AFTER = timedelta(days=7)  # Paint and mortar have dried, and the work is not forgotten.
FURTHEST = timedelta(days=731)
LONG_PAST = timedelta(days=365)


class NotAnnounced(Refused):
    """The work cannot be noted so. The message is fit to show a person."""


@dataclass(frozen=True, kw_only=True)
class Work:
    kind: str
    on: date
    note: str = ""


@transaction.atomic
def announce(
    *, home: Home, work: Work, told_by: str, today: date, at: datetime, by: User | None = None
) -> Announced:
    """Note work at the home and plan a check a week after it. Said twice, it changes nothing.

    Raises NotAnnounced for a day that is no plan of anybody.
    """
    if not -LONG_PAST <= work.on - today <= FURTHEST:
        raise NotAnnounced(_("Please look at the day: it lies more than a year or two off."))
    announced, new = Announced.objects.get_or_create(
        home=home,
        work=work.kind,
        on=work.on,
        dropped_at=None,
        defaults={"note": work.note, "told_by": told_by, "told_at": at, "by": by},
    )
    if new:
        announced.check_after = _check_after(announced, today)
        announced.save()
    return announced


def _check_after(announced: Announced, today: date) -> Check:
    with override("en"):  # The crew's list says it in the firm's own language.
        work = announced.get_work_display()
    return Check.objects.create(
        home=announced.home,
        kind="both",
        due_on=max(announced.on, today) + AFTER,
        reason=f"After {work}, {announced.on:%Y-%m-%d}"[:200],
    )


@transaction.atomic
def drop(*, announced: Announced, at: datetime) -> None:
    """The work does not come: neither does its check, unless it was made or is booked."""
    still = Announced.objects.select_for_update().filter(pk=announced.pk, dropped_at=None).first()
    if still is None:
        return
    unmade = Check.objects.filter(announced=still, done_on=None, booking=None)
    still.dropped_at = at
    still.save()
    unmade.delete()
