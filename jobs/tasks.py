"""Work in the background: each task loads, calls one action, ends."""

import logging

from celery import shared_task

from jobs.actions import filing
from jobs.models import AgreedPaper

log = logging.getLogger(__name__)


@shared_task
def print_agreements() -> None:
    """Print the papers that were agreed to. Beat runs this: it is the only retry."""
    for paper in AgreedPaper.objects.unprinted().select_related("offer"):
        try:
            filing.print_out(paper=paper)
        except Exception:  # one that cannot be printed must not hold up the others
            log.exception("%s could not be printed.", paper)
