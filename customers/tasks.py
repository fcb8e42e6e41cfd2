"""Work in the background: each task loads, calls one action, ends."""

import logging

from celery import shared_task
from django.utils.timezone import now
from kombu.exceptions import OperationalError

from customers.actions import importing
from customers.models import ImportRun

log = logging.getLogger(__name__)


def bring_in_soon(pk: int) -> bool:
    """Ask a worker to bring a table in. Returns whether one can be asked."""
    try:
        bring_in.apply_async(kwargs={"pk": pk}, retry=False)
    except OperationalError:
        log.warning("No broker: import %s goes in with the page that asked for it.", pk)
        return False
    return True


@shared_task
def bring_in(*, pk: int) -> None:
    """Write what is left of a table. Delivered twice it writes nothing twice."""
    importing.advance(run=ImportRun.objects.get(pk=pk), at=now())
