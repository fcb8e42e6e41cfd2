"""The link by which a household comes in from a notice."""

from datetime import datetime, timedelta

from django.conf import settings
from django.urls import reverse

from customers.links import link_address, link_token
from customers.models import HouseholdLink
from warranties.models import Notice, Transfer

LINK_DAYS = 180
ABOUT = "notice "


def link_of(notice: Notice, at: datetime) -> HouseholdLink:
    """The household's way in that this notice carries: the same at every attempt."""
    link, _made = HouseholdLink.objects.get_or_create(
        household=notice.household,
        purpose="my home",
        about=f"{ABOUT}{notice.pk}",
        defaults={"expires_at": at + timedelta(days=LINK_DAYS)},
    )
    return link


def told_by(link: HouseholdLink) -> int | None:
    """The key of the notice that carries the link, or None where none does."""
    key = link.about.removeprefix(ABOUT)
    return int(key) if key != link.about and key.isdecimal() else None


def token_of(notice: Notice, at: datetime) -> str:
    return link_token(link_of(notice, at))


def entrance(notice: Notice, at: datetime) -> str:
    """Where a letter's code leads: to my home, or to the page where they say yes to something."""
    if notice.kind == "transfer":
        transfer = Transfer.objects.get(pk=notice.facts["transfer"])
        if link := transfer.voice_of(notice.household).link:
            return link_address(link)
    if notice.kind == "offer":
        return link_address(_offer_link(notice, at))
    return link_address(link_of(notice, at))


def _offer_link(notice: Notice, at: datetime) -> HouseholdLink:
    """The way to the offer: one that was made before, or a new one, good as long as the offer."""
    about = {"purpose": "offer", "about": notice.facts["job"]}
    made = notice.household.links.valid(at).filter(**about).order_by("pk").first()
    days = (notice.due_on - at.date()).days + 2 if notice.due_on else LINK_DAYS
    return made or notice.household.links.create(
        **about, expires_at=at + timedelta(days=max(days, 1))
    )


def answer_address(token: str, notice: Notice, answer: str) -> str:
    """Where a button of the notice leads; that of a notice never kept (a preview) opens nothing."""
    return settings.BASE_URL + reverse("my-home-answer", args=[token, notice.pk or 0, answer])
