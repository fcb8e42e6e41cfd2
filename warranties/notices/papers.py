"""Notices that a certificate was printed."""

from datetime import datetime, timedelta
from typing import Any

from django.db.models import F

from warranties.models import Certificate, Notice
from warranties.notices.hours import next_hour
from warranties.notices.inserting import untold
from warranties.notices.inwriting import written_channel_of

FRESH = timedelta(days=14)  # Certificates that are older were brought in, not issued.


def plan_certificates(now: datetime) -> int:
    """Tell holders of a certificate that was printed lately and stands."""
    standing = Certificate.objects.current().exclude(sha256="")
    fresh = standing.filter(issued_at__gt=now - FRESH, promise__state="in-force")
    due = (
        untold(fresh, "certificate:", F("pk"))
        .annotate(channel=written_channel_of("promise__holder"))
        .select_related("promise__holder", "promise__home")
    )
    new = [_certificate_notice(certificate, now) for certificate in due]
    before = Notice.objects.filter(kind="certificate").count() if new else 0
    Notice.objects.bulk_create(new, ignore_conflicts=True)
    return Notice.objects.filter(kind="certificate").count() - before if new else 0


def _certificate_notice(certificate: Any, now: datetime) -> Notice:
    promise = certificate.promise
    return Notice(
        household=promise.holder,
        home=promise.home,
        kind="certificate",
        occasion=certificate.occasion,
        channel=certificate.channel,
        language=promise.holder.language,
        facts={"certificate": certificate.pk},
        send_at=next_hour(now, promise.home.tz),
    )
