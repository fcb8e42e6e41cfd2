"""Mail kept as .eml files until a mail server is set, so that the first day needs none."""

import os
import secrets
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend


class OutboxBackend(BaseEmailBackend):
    """Write each message whole into var/outbox, named by its time."""

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        folder = Path(settings.OUTBOX_DIR)
        folder.mkdir(parents=True, exist_ok=True)
        for message in email_messages:
            stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%f")
            path = folder / f"{stamp}-{secrets.token_hex(4)}.eml"
            part = path.with_suffix(".part")
            part.write_bytes(message.message().as_bytes(linesep="\r\n"))  # type: ignore[call-arg]  # Django's own
            os.replace(part, path)  # noqa: PTH105  # whole or not at all
        return len(email_messages)
