"""Proof of when a page showed the warranty, carried by the page itself.

16 CFR 702.3: the warranty is shown before the sale. The app above that keeps the terms puts a token
beside their text; who then agrees sends it back. No terms shown, no token, no agreement.
"""

from datetime import datetime, timedelta

from django.core import signing

SALT = "jobs.warranty-shown"
LASTS = timedelta(days=1)


def showing_token(at: datetime) -> str:
    return signing.dumps(at.isoformat(), salt=SALT)


def shown_at(token: str) -> datetime | None:
    """When the page with this token was shown; None where it is not ours or older than a day."""
    try:
        return datetime.fromisoformat(signing.loads(token, salt=SALT, max_age=LASTS))
    except signing.BadSignature:
        return None
