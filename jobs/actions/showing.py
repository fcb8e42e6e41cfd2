"""Proof of what a household was shown of an offer, and when, carried by the page itself.

16 CFR 702.3: the warranty is shown before the sale. A page that shows the offer with its warranty
carries a token; who then agrees sends it back. No warranty shown, no token, no agreement.
"""

from datetime import datetime, timedelta

from django.core import signing

from jobs import papers
from jobs.models import Offer, OfferShown

SALT = "jobs.warranty-shown"
LASTS = timedelta(days=1)


def show(*, offer: Offer, at: datetime) -> OfferShown:
    """Keep what the offer says at that moment, once, for it is being shown."""
    facts = papers.offer_facts(offer, at=at)
    shown, _new = OfferShown.objects.get_or_create(
        offer=offer, code=papers.code_of(facts), defaults={"facts": facts, "shown_at": at}
    )
    return shown


def shown_pdf(*, offer: Offer, at: datetime) -> bytes:
    """Return the offer's paper as it is at that moment, its code at its foot."""
    shown = show(offer=offer, at=at)
    signed_on = at.astimezone(offer.job.home.tz).date()
    return papers.as_pdf(papers.shown_record(shown.facts, signed_on=signed_on))


def showing_token(shown: OfferShown, at: datetime) -> str:
    """The proof that a page showed this; "" where it could show no warranty."""
    if not shown.facts["terms"]:
        return ""
    return signing.dumps([shown.pk, at.isoformat()], salt=SALT)


def read_token(token: str) -> tuple[OfferShown, datetime] | None:
    """What was shown, and when; None where the token is not ours or older than a day."""
    try:
        key, at = signing.loads(token, salt=SALT, max_age=LASTS)
    except signing.BadSignature:
        return None
    shown = OfferShown.objects.filter(pk=key).first()
    return (shown, datetime.fromisoformat(at)) if shown else None
