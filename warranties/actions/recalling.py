"""How seals hold, counted anew; a lot of sealant called back."""

from datetime import date, datetime, timedelta

from django.db import transaction
from django.db.models import Exists, OuterRef, QuerySet, Subquery

from jobs.models import FittedDetail
from shared.models import User
from shared.refusals import Refused
from warranties import openings
from warranties.models import Check, Promise, Recall, SealCount
from warranties.notices.recalls import plan_recall

WITHIN = timedelta(days=14)  # A lot that was called back is checked by then: our own choice.


class NotRecallable(Refused):
    """The lot cannot be called back. The message is fit to show a person."""


@transaction.atomic
def count_seals(*, today: date) -> int:
    """Count openings and seal-years of every group anew; return how many groups there are."""
    counted = list(openings.counted(today))
    SealCount.objects.all().delete()
    SealCount.objects.bulk_create(counted)
    return len(counted)


@transaction.atomic
def recall_lot(*, lot: str, reason: str, today: date, by: User, at: datetime) -> int:
    """Plan a check at every promised home where the lot was used, and a word to each household.

    Return how many checks were new.

    Again, it takes in what was fitted with the lot since; no home is checked twice for it.
    Raises NotRecallable without a reason, or where no promised home has the lot.
    """
    if not reason.strip():
        raise NotRecallable("Say why the lot is called back: the households will ask.")
    homes = dict.fromkeys(promises_with(lot).values_list("home_id", flat=True))
    if not homes:
        raise NotRecallable(f"No home with a promise in force has lot {lot}.")
    recall, _made = Recall.objects.get_or_create(
        lot=lot,
        defaults={"reason": reason.strip()[:300], "recalled_at": at, "recalled_by": by},
    )
    have = set(recall.checks.values_list("home_id", flat=True))
    checks = [
        Check(home_id=home, recall=recall, kind="seal", due_on=today + WITHIN, reason=str(recall))
        for home in homes
        if home not in have
    ]
    Check.objects.bulk_create(checks, ignore_conflicts=True, batch_size=1_000)
    plan_recall(recall, at)
    return len(checks)


def promises_with(lot: str) -> QuerySet[Promise]:
    """Return the standing promises whose fitting used the lot, each with its home and holder.

    `checked_on` and `check_due` are of the lot's recall, empty before it.
    """
    having = FittedDetail.objects.filter(lot=lot, job=OuterRef("job"))
    check = Check.objects.filter(recall__lot=lot, home=OuterRef("home"))
    return (
        Promise.objects.standing()
        .filter(Exists(having))
        .select_related("home", "holder", "job")
        .annotate(
            checked_on=Subquery(check.values("done_on")[:1]),
            check_due=Subquery(check.values("due_on")[:1]),
        )
        .order_by("home__street", "pk")
    )
