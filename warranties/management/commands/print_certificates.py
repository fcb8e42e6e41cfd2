"""Print every certificate that is written down but not printed, on all cores.

It can be stopped and begun again: what is printed stays printed.
"""

import logging
import os
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import Any

import django
from django.core.management.base import BaseCommand, CommandError, CommandParser

from warranties.actions import promising
from warranties.models import Certificate

log = logging.getLogger(__name__)
TELL_EVERY = 25


class Command(BaseCommand):
    help = "Print the certificates that wait for it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--processes", type=int, default=os.cpu_count() or 1)

    def handle(self, *_args: Any, processes: int, **_options: Any) -> None:
        waiting = list(Certificate.objects.unprinted().values_list("pk", flat=True))
        self.stdout.write(f"{len(waiting)} to print.")
        # Spawned, not forked: a forked process would share our connection to the database.
        context = get_context("spawn")
        with ProcessPoolExecutor(processes, mp_context=context, initializer=django.setup) as pool:
            failed = []
            for done, refused in enumerate(pool.map(print_one, waiting), start=1):
                failed += [refused] if refused else []
                if done % TELL_EVERY == 0 or done == len(waiting):
                    self.stdout.write(f"{done - len(failed)} of {len(waiting)} printed.")
        if failed:
            raise CommandError("Not printed: " + "; ".join(failed))


def print_one(pk: int) -> str:
    """Print one; return why it could not be printed, "" where it was. One holds up no other."""
    certificate = Certificate.objects.select_related("promise").get(pk=pk)
    try:
        promising.print_out(certificate=certificate)
    except Exception as error:
        log.exception("Certificate %s cannot be printed.", certificate)
        return f"{certificate} ({type(error).__name__})"
    return ""
