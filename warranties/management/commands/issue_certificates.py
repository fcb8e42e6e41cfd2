"""Issue anew every certificate that no longer says what is so, then print on all cores.

Counsel has approved the terms, the firm has moved: thousands of papers say something that was so.
It can be stopped and begun again: what was issued says what is so by then, and is passed over.
"""

from datetime import datetime
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandParser
from django.utils.timezone import now

from warranties.actions import standing
from warranties.models import Promise

TELL_EVERY = 25


class Command(BaseCommand):
    help = "Issue anew the certificates that are out of date, and print them."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--reason", required=True, help="A sentence for the promises' stories.")
        parser.add_argument(
            "--issued-before",
            type=datetime.fromisoformat,
            help="Every certificate issued before that moment (2026-11-28T12:00-07:00), changed or"
            " not: begun again with the same moment, it goes on where it stopped.",
        )
        parser.add_argument("--processes", type=int, help="To print with; all cores by default.")

    def handle(self, *_args: Any, **options: Any) -> None:
        before: datetime | None = options["issued_before"]
        issued = 0
        standing_ones = Promise.objects.standing().order_by("pk")
        many = standing_ones.count()
        for seen, promise in enumerate(standing_ones.iterator(chunk_size=500), start=1):
            if standing.is_outdated(promise, before=before):
                standing.issue_again(promise=promise, reason=options["reason"], by=None, at=now())
                issued += 1
            if seen % TELL_EVERY == 0 or seen == many:
                self.stdout.write(f"{seen} of {many} promises looked at, {issued} issued anew.")
        given = {"processes": options["processes"]} if options["processes"] else {}
        call_command("print_certificates", stdout=self.stdout, **given)
