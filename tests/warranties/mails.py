"""What a test of notices does: send one now, and read the one mail that went out."""

from datetime import datetime

from django.core import mail
from django.core.mail import EmailMultiAlternatives

from tests.factories import NOON
from warranties.actions import noticing
from warranties.models import Notice


def send(notice: Notice, at: datetime = NOON) -> str:
    state = noticing.send(pk=notice.pk, at=at)
    notice.refresh_from_db()
    return state


def sent() -> EmailMultiAlternatives:
    (message,) = mail.outbox
    assert isinstance(message, EmailMultiAlternatives)
    return message


def html_of(message: EmailMultiAlternatives) -> str:
    (alternative,) = message.alternatives
    assert alternative[1] == "text/html"
    return str(alternative[0])
