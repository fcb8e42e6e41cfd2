"""Fill a scratch database with homes, their jobs and promises, to measure pages upon."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from customers.models import Home
from customers.scratch import fill_homes

BATCH = 2_000


class Command(BaseCommand):
    help = "Fill an empty database with so many invented homes. For measuring, never for work."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("homes", type=int)

    def handle(self, *, homes: int, **_options: Any) -> None:
        if Home.objects.exists():
            raise CommandError("This database has homes. Point VAR_DIR or DATABASE_URL elsewhere.")
        for start in range(0, homes, BATCH):
            fill_homes(start, min(start + BATCH, homes))
            self.stdout.write(f"{min(start + BATCH, homes):,} homes")
