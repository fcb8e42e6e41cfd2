"""Notices that a person brings: letters gathered into batches, calls made."""

from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Count, Max

from shared.models import Counter, User
from warranties.actions.noticing import NotDecidable
from warranties.models import Notice
from warranties.notices.joining import join_waiting, mark_told
from warranties.notices.letter import letters_pdf

AT_MOST = 500  # In one batch.
BATCHES_SHOWN = 10


@transaction.atomic
def gather(*, by: User, at: datetime) -> str:
    """Put the letters that are due into a batch and return its name, or "" where none is due.

    A letter is in one batch only, however many press the button; a batch is printed again at will.
    What waits for one household is one letter.
    """
    join_waiting(at)
    due = Notice.objects.for_a_person(at).filter(channel="letter").order_by("send_at", "pk")
    keys = list(due.select_for_update().values_list("pk", flat=True)[:AT_MOST])
    if not keys:
        return ""
    batch = f"{at:%Y}-{Counter.objects.take(f'letters {at:%Y}'):03d}"
    Notice.objects.filter(pk__in=keys).update(
        state="sent", sent_at=at, batch=batch, state_reason=f"Printed by {by}."
    )
    mark_told(keys, at)
    return batch


def batches() -> list[dict[str, Any]]:
    """Return the newest batches: `batch`, `letters`, `at`. One query."""
    gathered = Notice.objects.exclude(batch="").order_by().values("batch")
    counted = gathered.annotate(letters=Count("pk"), at=Max("sent_at")).order_by("-at")
    return [dict(each) for each in counted[:BATCHES_SHOWN]]


def pdf_of(*, batch: str, at: datetime) -> bytes | None:
    """Return a batch as PDF, or None where there is no such batch."""
    rows = Notice.objects.select_related("household", "home", "plant", "booking")
    notices = list(rows.filter(batch=batch).order_by("pk")) if batch else []
    return letters_pdf(notices, at=at) if notices else None


@transaction.atomic
def mark_called(*, pk: int, by: User, at: datetime) -> None:
    """They were called and told. Raises NotDecidable where that was noted before."""
    waiting = Notice.objects.filter(pk=pk, channel="call", state="planned")
    told = f"Called by {by}."[:300]
    if not waiting.update(state="sent", sent_at=at, seen_at=at, state_reason=told):
        raise NotDecidable("This call was made, or is not wanted any more.")
    mark_told([pk], at, seen_at=at)
