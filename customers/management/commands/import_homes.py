"""Bring in a table of homes from the command line."""

import csv
import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.files import File
from django.core.management.base import BaseCommand, CommandError
from django.utils.timezone import now

from customers.actions import importing
from customers.models import ImportRun
from shared.cells import harmless
from shared.wording import counted


class Command(BaseCommand):
    help = (
        "Bring in a table of homes (CSV or XLSX): guesses its columns, or takes --columns, and goes"
        " on where an import of the same file was stopped. Refused rows go to a file beside it."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--columns",
            type=json.loads,
            help='{"columns": {"street": ["Address"]}, "always": {"city": "Mesquite Flat"},'
            ' "day_first": false}; --dry-run prints what is guessed',
        )
        parser.add_argument(
            "--dry-run", action="store_true", help="Show the columns and the first rows only."
        )
        parser.add_argument("--refused", type=Path, help="Where to write the refused rows.")

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path = options["file"]
        try:
            run = self._loaded(path, options["columns"])
            if options["dry_run"]:
                self._show(run)
                importing.forget(run=run)
                return
            self._read(run)
        except (OSError, importing.NotImportable) as error:
            raise CommandError(str(error)) from error
        if run.rows_refused:
            refused = options["refused"] or path.with_name(f"{path.stem}-refused.csv")
            self._write_refused(run, refused)

    def _loaded(self, path: Path, columns: dict[str, Any] | None) -> ImportRun:
        with path.open("rb") as file:
            run = importing.load_table(file=File(file), name=path.name, by=None)
        if begun := importing.begun_before(run=run):
            importing.forget(run=run)
            self.stdout.write(f"Going on at row {begun.rows_read + 1} of {begun.rows_total}.")
            return begun
        importing.match_columns(run=run, columns=columns or run.columns)
        return run

    def _read(self, run: ImportRun) -> None:
        importing.start(run=run, at=now(), again=True)
        whole = importing.advance(run=run, at=now(), on_chunk=lambda: self._tell(run))
        run.refresh_from_db()
        if not whole:
            raise CommandError(run.error or "Somebody else is bringing this table in.")
        self.stdout.write(
            f"{counted(run.rows_new, 'new home')}, {counted(run.rows_known, 'row')} of known homes,"
            f" {counted(run.rows_refused, 'row')} refused;"
            f" {counted(run.homes_joined, 'home')} came to households that have others."
        )

    def _tell(self, run: ImportRun) -> None:
        self.stdout.write(f"{run.rows_read} of {counted(run.rows_total, 'row')}")

    def _show(self, run: ImportRun) -> None:
        self.stdout.write(json.dumps(run.columns, ensure_ascii=False))
        for each in importing.preview(run=run, at=now()).rows:
            what = each.reasons or [str(each.record)]
            self.stdout.write(f"row {each.number}: {' '.join(what)}")

    def _write_refused(self, run: ImportRun, path: Path) -> None:
        headings, rows = importing.refused_rows(run=run)
        with path.open("w", encoding="utf-8-sig", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(map(harmless, headings))
            writer.writerows(map(harmless, row) for row in rows)
        self.stdout.write(f"Refused rows with their reasons: {path}")
