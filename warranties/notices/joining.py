"""Notices that wait for one household made into one message, and taken out of it again.

One of them carries the others: it alone is planned, handed, claimed and sent, so that the message
has one Message-ID and is one row to workers. Everything here happens in one transaction, with the
rows locked: a worker finds a notice either free or in another, never both.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import Count, Q, QuerySet

from warranties import joining
from warranties.models import Notice

HOUSEHOLDS = 500  # in one transaction


def join_waiting(at: datetime) -> int:
    """Let what waits for the same household and channel go out as one; return how many joined."""
    groups = (
        Notice.objects.joinable(at)
        .order_by()
        .values("household_id", "channel")
        .annotate(count=Count("pk"), due=Count("pk", filter=Q(send_at__lte=at)))
        .filter(count__gt=1, due__gt=0)
    )
    homes = sorted(set(groups.values_list("household_id", flat=True)))
    return sum(
        _join(homes[start : start + HOUSEHOLDS], at) for start in range(0, len(homes), HOUSEHOLDS)
    )


@transaction.atomic
def _join(households: Sequence[int], at: datetime) -> int:
    waiting = Notice.objects.joinable(at).filter(household__in=households)
    rows = {each.pk: each for each in waiting.select_for_update().order_by("pk")}
    carried = list(Notice.objects.filter(joined_to__in=rows, state="joined"))
    moved: list[Notice] = []
    for first, *rest in joining.messages(map(_waiting, rows.values())):
        hour = min(rows[key].send_at for key in (first, *rest))
        if hour > at:
            continue  # Each waits for another try, and none is due yet.
        rows[first].send_at = hour
        members = [rows[key] for key in rest]
        for each in [*members, *(each for each in carried if each.joined_to_id in rest)]:
            each.state, each.joined_to = "joined", rows[first]
            moved.append(each)
    _keep(moved)
    return len(moved)


def _waiting(notice: Notice) -> joining.Waiting:
    return joining.Waiting(notice.pk, notice.household_id, notice.channel, notice.kind)


def _keep(moved: Sequence[Notice]) -> None:
    carriers = {each.joined_to for each in moved if each.joined_to}
    Notice.objects.bulk_update(moved, ["state", "joined_to"], batch_size=HOUSEHOLDS)
    Notice.objects.bulk_update(carriers, ["send_at"], batch_size=HOUSEHOLDS)


def parts_of(notice: Notice) -> list[Notice]:
    """The notices that go out in this message, most urgent first, loaded to be written.

    They are told in the language of the one that carries them. One query, and one more where there
    are others.
    """
    others = Notice.objects.filter(joined_to=notice.pk or 0, state="joined")
    if not notice.pk or not others.exists():
        return [notice]
    parts = [notice, *others.select_related("household", "home", "plant", "booking", "after")]
    for each in parts:
        each.language = notice.language
    return sorted(parts, key=lambda each: joining.urgency(each.kind, each.due_on, each.pk))


def leave_out(notices: QuerySet[Notice], reason: str) -> None:
    """Drop those of the notices that wait; what they went with goes on without them.

    What a worker is sending is left as it is.
    """
    waits = Q(state="planned") | Q(state="joined", joined_to__state__in=("planned", "held"))
    found = dict(notices.filter(waits).values_list("pk", "joined_to"))
    if found:
        _leave_out(found, reason)


@transaction.atomic
def _leave_out(found: Mapping[int, int | None], reason: str) -> None:
    carriers = Notice.objects.select_for_update().filter(state__in=("planned", "held"))
    reasons = dict.fromkeys(found, reason)
    for carrier in carriers.filter(pk__in={to or key for key, to in found.items()}).order_by("pk"):
        take_out(carrier, reasons)


@transaction.atomic
def take_apart(notices: QuerySet[Notice]) -> None:
    """Let what waits in one message wait by itself again, to be joined anew."""
    carriers = notices.filter(state="planned").select_related(None).select_for_update()
    parts = Notice.objects.filter(joined_to__in=list(carriers), state="joined")
    parts.update(state="planned", joined_to=None)


def take_out(carrier: Notice, reasons: Mapping[int, str]) -> None:
    """Drop these parts of a message that is locked or claimed; the next part carries the rest.

    In a transaction of the caller's.
    """
    keys = [
        carrier.pk,
        *carrier.joined.filter(state="joined").order_by("pk").values_list(flat=True),
    ]
    for key in keys:
        if key in reasons:
            gone = Notice.objects.filter(pk=key)
            gone.update(state="dropped", state_reason=reasons[key][:300], joined_to=None)
    left = [key for key in keys if key not in reasons]
    if left and left[0] != carrier.pk:
        _hand_on(carrier, left)


def _hand_on(carrier: Notice, left: Sequence[int]) -> None:
    state = "held" if carrier.state == "held" else "planned"
    Notice.objects.filter(pk=left[0]).update(
        state=state,
        state_reason=carrier.state_reason,
        joined_to=None,
        channel=carrier.channel,
        send_at=carrier.send_at,
        handed_at=None,
    )
    Notice.objects.filter(pk__in=left[1:]).update(joined_to=left[0])


def mark_told(carriers: QuerySet[Notice] | Sequence[int], at: datetime, **values: object) -> None:
    """Keep that what these notices carried was told with them."""
    Notice.objects.filter(joined_to__in=carriers, state="joined").update(sent_at=at, **values)
