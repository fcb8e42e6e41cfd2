"""Put an archive of manage.py backup back."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from shared import backup
from shared.programs import CannotServe, hold_the_lock


class Command(BaseCommand):
    help = "Put an archive back. Stop Ringkeep first; start it again afterwards."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--replace", action="store_true", help="also where something is here already"
        )

    def handle(self, *args: Any, file: Path, replace: bool, **options: Any) -> None:
        try:
            with hold_the_lock():
                manifest = backup.put_back(file, replace=replace)
        except (backup.NotRestorable, backup.NotKept, CannotServe) as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(f"Put back {len(manifest['files'])} files of {manifest['made_at']}")
