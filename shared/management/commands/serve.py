"""Serve Ringkeep: web server, worker and schedule under one parent."""

import os
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import OperationalError, connections

from shared import firststart
from shared.programs import CannotServe, all_programs, hold_the_lock, listen
from shared.supervisor import supervise

REFUSED = 2  # exit status


class Command(BaseCommand):
    help = "Serve Ringkeep on PORT until Ctrl-C: web server, worker and schedule under one parent."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--without-schedule",
            action="store_true",
            help="for a second machine on the same database: the schedule runs only once",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            self._serve(schedule=not options["without_schedule"])
        except CannotServe as refusal:
            raise CommandError(str(refusal), returncode=REFUSED) from refusal
        except OperationalError as error:
            raise CommandError(
                f"The database does not answer: {error}", returncode=REFUSED
            ) from error

    def _serve(self, *, schedule: bool) -> None:
        os.umask(0o077)  # what lies in var/ is about people
        with hold_the_lock(), listen(settings.HOST, settings.PORT) as listening:
            firststart.prepare()
            self._greet()
            connections.close_all()
            supervise(all_programs(listening, schedule=schedule), self._tell)
        self._tell("Ringkeep has stopped.")

    def _greet(self) -> None:
        self._tell(f"Ringkeep is at {settings.BASE_URL}")
        for role, name, password in firststart.sign_ins():
            self._tell(f"  {role:7} signs in as {name}  {password}")
        self._tell("Stop it with Ctrl-C.")

    def _tell(self, text: str) -> None:
        self.stdout.write(text)
        self.stdout.flush()
