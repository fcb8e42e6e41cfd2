"""The request as our views see it, so that types know what decorators and middleware did."""

from django.conf import settings
from django.http import HttpRequest
from django_htmx.middleware import HtmxDetails

from shared.models import User


class StaffRequest(HttpRequest):
    user: User
    htmx: HtmxDetails


def client_address(request: HttpRequest) -> str:
    """Return where the request comes from.

    X-Forwarded-For is believed only as far as our own proxies wrote it: each adds one at the end.
    """
    forwarded = request.headers.get("X-Forwarded-For", "").split(",")
    if 0 < settings.PROXIES <= len(forwarded):
        return forwarded[-settings.PROXIES].strip()
    return str(request.META.get("REMOTE_ADDR", ""))
