"""The one way a job or an offer changes its stage: an UPDATE that both checks and takes."""

from typing import Any

from jobs.models import Job, Offer


def take(row: Job | Offer, /, *, among: tuple[str, ...], **changes: Any) -> bool:
    """Change the row where its stage (an offer's state) still is among these; False where not.

    Two people cannot both win. The change goes to the row's history; the row is read again.
    """
    field = "stage" if isinstance(row, Job) else "state"
    rows: Any = type(row).objects
    taken = rows.filter(pk=row.pk, **{f"{field}__in": among}).update(**changes)
    fresh = rows.get(pk=row.pk)
    for column in row._meta.concrete_fields:  # noqa: SLF001  # documented
        # Unlike refresh_from_db, this keeps what is loaded: an offer's job stays the same object.
        setattr(row, column.attname, getattr(fresh, column.attname))
    if taken:
        type(row).history.bulk_history_create([row], update=True)  # update() alone writes none
    return bool(taken)
