"""Read the mails that came back, now: from BOUNCES_URL, or from a Maildir that is named."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils.timezone import now

from warranties.actions import bouncing
from warranties.notices.mailbox import NoMailbox, unread


class Command(BaseCommand):
    help = "Read the mails that came back and mark the notices and addresses that they name."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--maildir", type=Path, help="in place of BOUNCES_URL")

    def handle(self, *_args: Any, **options: Any) -> None:
        folder: Path | None = options["maildir"]
        address = f"maildir://{folder.resolve()}" if folder else settings.BOUNCES_URL
        if not address:
            raise CommandError("Set BOUNCES_URL, or name a folder by --maildir.")
        try:
            count = bouncing.note_bounces(mails=unread(address), at=now())
        except NoMailbox as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"{count} notice{'' if count == 1 else 's'} came back.")
