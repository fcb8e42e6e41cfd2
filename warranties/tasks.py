"""Work in the background: each task loads, calls one action, ends."""

import logging

from celery import shared_task
from django.conf import settings
from django.utils.timezone import localdate, now
from kombu.exceptions import OperationalError

from warranties import notices
from warranties.actions import bouncing, hearing, noticing, promising, recalling
from warranties.models import Certificate
from warranties.notices.mailbox import unread

log = logging.getLogger(__name__)


def print_soon(pk: int) -> None:
    """Ask a worker for the PDF. Where none can be asked, the sweep finds it in our tables."""
    try:
        print_certificate.apply_async(kwargs={"pk": pk}, retry=False)
    except OperationalError:
        log.warning("No broker: certificate %s is printed by the next sweep.", pk)


@shared_task
def print_certificate(*, pk: int) -> None:
    promising.print_out(certificate=Certificate.objects.get(pk=pk))


@shared_task
def print_waiting_certificates() -> None:
    """Print what is written down but not printed. Beat runs this: it is the only retry."""
    for certificate in Certificate.objects.unprinted():
        try:
            promising.print_out(certificate=certificate)
        except Exception:  # one that cannot be printed must not hold up the others
            log.exception("Certificate %s could not be printed.", certificate)


@shared_task
def plan_due_notices() -> int:
    return notices.plan_notices(now())


@shared_task
def send_due_notices() -> int:
    hearing.answer_soon(now())
    return notices.send_due(now())


@shared_task
def count_seals() -> int:
    return recalling.count_seals(today=localdate())


@shared_task
def read_bounces() -> int:
    """Read the mailbox to which mails come back, where one is named."""
    if not settings.BOUNCES_URL:
        return 0
    return bouncing.note_bounces(mails=unread(settings.BOUNCES_URL), at=now())


@shared_task
def send_notice(*, pk: int) -> str:
    return noticing.send(pk=pk, at=now())
