"""Fill a scratch database with homes, their jobs and promises, to measure pages upon."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.timezone import localdate, now

from customers.models import Home
from customers.scratch import fill_homes
from jobs.actions.recounting import recount_all
from jobs.scratch import fill_jobs, ground
from warranties.actions import terming
from warranties.scratch import fill_promises

BATCH = 2_000


class Command(BaseCommand):
    help = "Fill an empty database with so many invented homes. For measuring, never for work."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("homes", type=int)

    def handle(self, *, homes: int, **_options: Any) -> None:
        if Home.objects.exists():
            raise CommandError("This database has homes. Point VAR_DIR or DATABASE_URL elsewhere.")
        at = now()
        on = ground(localdate(), homes)
        under = terming.terms_for(paper="promise", language="en", shown_at=at, at=at)
        for start in range(0, homes, BATCH):
            stop = min(start + BATCH, homes)
            jobs = fill_jobs(fill_homes(start, stop), on, first=start + 1)
            fill_promises(jobs, under)
            self.stdout.write(f"{stop:,} homes")
        recount_all()
