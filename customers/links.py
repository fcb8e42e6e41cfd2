"""The signed links by which a household comes in without an account.

An address carries the link's random key with our signature, so that a guess costs no look-up. It
opens one household's pages of one purpose, until it expires or is revoked: a reminder that is
forwarded to a neighbour gives nobody the right to agree to an offer. Bad tokens are counted by the
address they come from (an IPv6 network counts as one): after GUESSES_AN_HOUR nothing is looked at
for the rest of the hour. OWASP ASVS 5.0: V11.5.1 (128 bits at least), V2.4.1 (against automation).
"""

import ipaddress
from datetime import datetime, timedelta

from django.conf import settings
from django.core.cache import cache
from django.core.signing import BadSignature, Signer
from django.urls import reverse

from customers.models import Household, HouseholdLink
from shared.tallying import tally

GUESSES_AN_HOUR = 20
HOUR = 3600
NETWORK_BITS = 64  # what a home or a phone gets of IPv6
# The first page of each purpose; the apps above own them.
PAGES = {"my home": "my-home", "offer": "offer-agree", "transfer": "transfer"}
signer = Signer(salt="customers.links")


class BadLink(Exception):
    """The link opens nothing. The message is fit to show a person."""


class TooManyGuesses(Exception):
    """Too many bad links came from this address within the hour."""


def make_link(
    *, household: Household, purpose: str, about: str = "", at: datetime, days: int
) -> str:
    """Return the absolute address of a new link, good for so many days."""
    link = HouseholdLink.objects.create(
        household=household, purpose=purpose, about=about, expires_at=at + timedelta(days=days)
    )
    return link_address(link)


def link_address(link: HouseholdLink) -> str:
    return settings.BASE_URL + reverse(PAGES[link.purpose], args=[link_token(link)])


def link_token(link: HouseholdLink) -> str:
    return signer.sign(link.key)


def open_link(token: str, at: datetime, *, purpose: str, address: str = "") -> HouseholdLink:
    """Return the link, its household loaded, and note that it was used.

    `address` is where the request comes from; without it nothing is counted. Raises BadLink where
    the token is wrong, for another purpose, expired or revoked, TooManyGuesses where too many such
    came before.
    """
    if address and bad_tokens(address) >= GUESSES_AN_HOUR:
        raise TooManyGuesses("Too many links that do not open. Wait an hour, or call us.")
    try:
        key = signer.unsign(token)
    except BadSignature:
        link = None
    else:
        links = HouseholdLink.objects.valid(at).select_related("household")
        link = links.filter(key=key, purpose=purpose).first()
    if link is None:
        if address:
            count_bad_token(address)
        raise BadLink("This link is not complete, or its time is over. Ask us for a new one.")
    HouseholdLink.objects.filter(pk=link.pk).update(last_used_at=at)
    return link


def revoke_link(*, link: HouseholdLink, at: datetime) -> None:
    """Let the link open nothing any more. The first time counts."""
    HouseholdLink.objects.filter(pk=link.pk, revoked_at=None).update(revoked_at=at)


def bad_tokens(address: str) -> int:
    """Return how many bad tokens came from there within the hour."""
    return cache.get(_counter(address), 0)


def count_bad_token(address: str) -> None:
    tally(_counter(address), HOUR)


def _counter(address: str) -> str:
    try:
        network = ipaddress.ip_address(address)
    except ValueError:
        return f"bad-tokens:{address.encode().hex()[:100]}"
    if network.version == 6:  # noqa: PLR2004  # of IP
        return f"bad-tokens:{ipaddress.ip_network((network, NETWORK_BITS), strict=False)}"
    return f"bad-tokens:{network}"
