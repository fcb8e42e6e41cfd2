"""A table from its upload to its last row.

It goes in by chunks, each one transaction that also moves the count of rows read: an import that
was killed goes on where it stopped, and two that run at once cannot write a chunk twice.
"""

import hashlib
import logging
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from itertools import islice
from pathlib import Path
from time import monotonic
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.files import File
from django.db import IntegrityError, transaction
from django.db.models import F
from django.db.models.functions import Now

from customers.actions.importing.writing import write_chunk
from customers.importing import NotATable, Row, RowReader, Rules, read_table, survey_table
from customers.importing.fields import ANOTHER_HOME
from customers.importing.guessing import guess_columns
from customers.models import ImportRun
from shared.models import User
from shared.refusals import Refused

log = logging.getLogger(__name__)

CHUNK = 500
STALE = timedelta(minutes=2)
REMEMBERED = 50
STOPPED = (
    "Something went wrong behind row {row} that is no fault of the table. What came before is in."
)
REASONS = "Why it was not read"  # the heading beside refused rows; known when they come back
OURS = (REASONS, ANOTHER_HOME)


class NotImportable(Refused):
    """The table cannot go in like this. The message is fit to show a person."""


@transaction.atomic
def load_table(*, file: File, name: str, by: User | None) -> ImportRun:
    """Keep a table that was sent and guess its columns. Raises NotImportable."""
    if (file.size or 0) > settings.IMPORT_MAX_BYTES:
        raise NotImportable(f"The file is over {settings.IMPORT_MAX_BYTES // 1024**2} MB.")
    run = ImportRun(name=Path(name).name[:200], by=by)
    run.file.save("table", file, save=False)
    path = Path(run.file.path)
    try:
        survey = survey_table(path)
    except NotATable as error:
        path.unlink()
        raise NotImportable(str(error)) from error
    with path.open("rb") as kept:
        run.sha256 = hashlib.file_digest(kept, "sha256").hexdigest()
    run.survey = survey.to_json()
    run.rows_total = survey.rows
    headings = [heading for heading in survey.headings if heading != REASONS]
    run.columns = _remembered(headings) or {
        "columns": guess_columns(headings, survey.examples, region=settings.FIRM_COUNTRY)
    }
    run.save()
    return run


def _remembered(headings: list[str]) -> dict[str, Any] | None:
    """Return how the last table with these very headings was matched."""
    before = ImportRun.objects.exclude(state="loaded").order_by("-pk")[:REMEMBERED]
    for run in before.values("survey", "columns"):
        if _theirs(run["survey"]["headings"]) == _theirs(headings):
            columns = dict(run["columns"])
            answers = {"another_home": [ANOTHER_HOME]} if ANOTHER_HOME in headings else {}
            return {**columns, "columns": {**columns.get("columns", {}), **answers}}
    return None


@transaction.atomic
def match_columns(*, run: ImportRun, columns: dict[str, Any]) -> None:
    """Say how the table is read, before its first row goes in. Raises NotImportable."""
    wanted = dict(columns.get("columns", {}))
    known = set(run.survey["headings"])
    unknown = [each for headings in wanted.values() for each in headings if each not in known]
    if unknown:
        raise NotImportable(f"The table has no column “{unknown[0]}”.")
    if not {"street", "address"} & set(wanted):
        raise NotImportable("Say which column holds the address: without it no home is recognised.")
    waiting = ImportRun.objects.filter(pk=run.pk, state="loaded")
    if not waiting.update(columns=columns):
        raise NotImportable(f"“{run.name}” is {run.get_state_display()}.")
    run.columns = columns


def rules_of(run: ImportRun, at: datetime) -> Rules:
    return Rules(
        columns=run.columns.get("columns", {}),
        region=settings.FIRM_COUNTRY,
        today=at.astimezone(ZoneInfo(settings.TIME_ZONE)).date(),
        always=run.columns.get("always", {}),
        orders=run.survey.get("orders", {}),
        day_first=run.columns.get("day_first"),
    )


def start(*, run: ImportRun, at: datetime, again: bool = False) -> None:
    """Let the rows go in, for the first time or from where they stopped. Raises NotImportable.

    `again` also takes up one that is running: chunks are written once, whoever writes them.
    """
    states = ("loaded", "stopped", "running") if again else ("loaded", "stopped")
    if not ImportRun.objects.filter(pk=run.pk, state__in=states).update(
        state="running", error="", moved_at=at
    ):
        raise NotImportable(f"“{run.name}” is {run.get_state_display()}.")
    run.refresh_from_db()


def advance(
    *,
    run: ImportRun,
    at: datetime,
    seconds: float | None = None,
    on_chunk: Callable[[], None] = lambda: None,
) -> bool:
    """Write the chunks that are left, or as many as fit the time. Returns whether all are in.

    Never inside a transaction: each chunk is one.
    """
    run.refresh_from_db()
    ends = None if seconds is None else monotonic() + seconds
    try:
        table = read_table(Path(run.file.path))
        reader = RowReader(table.headings, rules_of(run, at))
        for rows in _chunks(table.rows, run.rows_read):
            if not _advance_surely(run, rows, reader, at):
                return False
            on_chunk()
            if ends is not None and monotonic() > ends:
                return False
    except (NotATable, OSError) as error:
        return _stop(run, str(error), at)
    except Exception:
        log.exception("Import %s stopped.", run.pk)
        return _stop(run, STOPPED.format(row=run.rows_read + 1), at)
    ImportRun.objects.filter(pk=run.pk, state="running").update(state="done", finished_at=at)
    return True


def refused_rows(*, run: ImportRun) -> tuple[list[str], Iterator[list[str]]]:
    """Return headings and rows of what was refused, the reasons first, as they may be sent again.

    What comes out is the file's own text: whoever writes it makes it harmless.
    """
    headings: list[str] = run.survey["headings"]
    theirs = [at for at, heading in enumerate(headings) if heading not in OURS]
    answers = [at for at, heading in enumerate(headings) if heading == ANOTHER_HOME]

    def rows() -> Iterator[list[str]]:
        for row in run.refused.iterator():
            answer = next((row.cells[at] for at in answers), "")
            yield [" ".join(row.reasons), answer, *(row.cells[at] for at in theirs)]

    return [*OURS, *_theirs(headings)], rows()


def _theirs(headings: list[str]) -> list[str]:
    """The headings without those that we put before refused rows."""
    return [heading for heading in headings if heading not in OURS]


def begun_before(*, run: ImportRun) -> ImportRun | None:
    """Return an import of the very same file that began and did not end."""
    same = ImportRun.objects.filter(sha256=run.sha256, state__in=("running", "stopped"))
    return same.exclude(pk=run.pk).order_by("-pk").first()


def forget(*, run: ImportRun) -> None:
    """Take a table away with its file and refused rows: what it brought in stays.

    Raises NotImportable while it is being read.
    """
    idle = ImportRun.objects.filter(pk=run.pk).exclude(state="running")
    if not idle.delete()[0]:
        raise NotImportable(f"“{run.name}” is being read just now.")
    run.file.delete(save=False)


def is_stale(run: ImportRun, at: datetime) -> bool:
    """Whether a running import has not moved for so long that its worker must be gone."""
    return run.state == "running" and (run.moved_at is None or at - run.moved_at > STALE)


def _chunks(rows: Iterator[Row], read: int) -> Iterator[list[Row]]:
    left = islice(rows, read, None)
    while chunk := list(islice(left, CHUNK)):
        yield chunk


def _stop(run: ImportRun, error: str, at: datetime) -> bool:
    running = ImportRun.objects.filter(pk=run.pk, state="running")
    running.update(state="stopped", error=error, finished_at=at)
    return False


def _advance_surely(run: ImportRun, rows: list[Row], reader: RowReader, at: datetime) -> bool:
    """Write one chunk; again where somebody entered a home of it this very moment."""
    try:
        return _advance(run, rows, reader, at)
    except IntegrityError:
        return _advance(run, rows, reader, at)


@transaction.atomic
def _advance(run: ImportRun, rows: list[Row], reader: RowReader, at: datetime) -> bool:
    """Write one chunk with its counts; False where another worker has the run."""
    if not ImportRun.objects.take_chunk(run, len(rows)):
        return False
    counts = write_chunk(rows=rows, reader=reader, run=run, at=at, by=run.by)
    ImportRun.objects.filter(pk=run.pk).update(
        rows_new=F("rows_new") + counts.new,
        rows_known=F("rows_known") + counts.known,
        rows_refused=F("rows_refused") + counts.refused,
        homes_joined=F("homes_joined") + counts.joined,
        moved_at=Now(),
    )
    run.rows_read += len(rows)
    return True
