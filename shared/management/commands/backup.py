"""Keep everything of this installation in one file."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from shared import backup


class Command(BaseCommand):
    help = "Write tables, photographs, certificates, mail and keys into one archive."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        try:
            manifest = backup.keep(file)
        except backup.NotKept as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(f"Kept {len(manifest['files'])} files in {file}")
