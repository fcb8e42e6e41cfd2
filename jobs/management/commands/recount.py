"""Compare the money that is kept, a job and a month, with the rows that it is the sum of."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from jobs.actions.recounting import drift, recount_all

MOST_SAID = 20


class Command(BaseCommand):
    help = "Count jobs' money and the ledger's months anew from offers and costs; say what changed."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--check", action="store_true", help="only say what is off")

    def handle(self, *, check: bool, **_options: Any) -> None:
        found = drift() if check else recount_all()
        for line in found[:MOST_SAID]:
            self.stdout.write(line)
        if len(found) > MOST_SAID:
            self.stdout.write(f"and {len(found) - MOST_SAID:,} more")
        if check and found:
            raise CommandError(f"{len(found):,} sums are not what their rows say.")
        self.stdout.write(f"{len(found):,} sums were off." if found else "Every sum is right.")
