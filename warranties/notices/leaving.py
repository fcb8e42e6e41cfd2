"""The address by which a household leaves a channel: good for ever, hard to forge.

It names one notice, and so one household and channel. Law asks for 30 days at least (15 USC
7704(a)(3)); it never expires here.
"""

from django.conf import settings
from django.core.signing import BadSignature, Signer
from django.urls import reverse

from warranties.models import Notice

signer = Signer(salt="warranties.notices.leaving")


def leave_token(notice: Notice) -> str:
    return signer.sign(str(notice.pk))


def leave_address(notice: Notice) -> str:
    return settings.BASE_URL + reverse("unsubscribe", args=[leave_token(notice)])


def notice_of(token: str) -> Notice | None:
    """Return the notice that the token came with, or None where it was altered."""
    try:
        key = int(signer.unsign(token))
    except (BadSignature, ValueError):
        return None
    return Notice.objects.select_related("household").filter(pk=key).first()
