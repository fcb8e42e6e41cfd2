"""Fill an empty installation with the demo: an invented firm and two years of its life."""

import logging
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils.timezone import now

from customers.models import Home
from warranties.demo import play


class Command(BaseCommand):
    help = "Fill an empty installation with an invented firm: 60 homes and two years of work."

    def handle(self, *_args: Any, **_options: Any) -> None:
        if Home.objects.exists():
            raise CommandError("This installation has homes: the demo is for an empty one.")
        # No worker is there before the first start: the sweep prints the certificates.
        logging.getLogger("warranties.tasks").setLevel(logging.ERROR)
        with transaction.atomic():
            play(now=now(), tell=self.stdout.write)
