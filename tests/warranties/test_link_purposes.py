"""A household's link opens the pages that it was sent for, and no others."""

from datetime import timedelta

import pytest
from django.core.cache import cache
from django.test import Client
from django.utils.timezone import now

from customers.links import link_address, link_token, revoke_link
from customers.models import HouseholdLink
from jobs.models import Offer
from tests.factories import make_household, make_job, make_offer
from tests.warranties.certified import make_open_promise
from warranties.actions import transferring
from warranties.models import Transfer

PURPOSES = ("my home", "offer", "transfer")
PAGES = {"my home": "/my-home/{}/", "offer": "/agree/{}/", "transfer": "/transfer/{}/"}

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nothing_counted() -> None:
    cache.clear()


def make_transfer() -> Transfer:
    promise = make_open_promise()
    move = transferring.Move(make_household(), promise.starts_on)
    return transferring.start_transfer(promise=promise, move=move, at=now())


def link_for(purpose: str) -> HouseholdLink:
    """A link whose household has a home, an offer and a transfer to agree to."""
    transfer = make_transfer()
    job = make_job(home=transfer.promise.home, household=transfer.old, stage="priced")
    make_offer(job=job, state="sent")
    if purpose == "transfer":
        link = transfer.voice_of(transfer.old).link
        assert link is not None
        return link
    about = job.number if purpose == "offer" else "notice 1"
    return transfer.old.links.create(
        purpose=purpose, about=about, expires_at=now() + timedelta(days=3)
    )


@pytest.mark.parametrize("page", PURPOSES)
@pytest.mark.parametrize("purpose", PURPOSES)
def test_a_link_opens_its_own_page_only(client: Client, purpose: str, page: str) -> None:
    token = link_token(link_for(purpose))

    status = client.get(PAGES[page].format(token)).status_code

    assert status == (200 if page == purpose else 404)


@pytest.mark.parametrize("purpose", ["my home", "transfer"])
def test_another_link_agrees_to_no_offer(client: Client, purpose: str) -> None:
    link = link_for(purpose)
    offer = Offer.objects.get()
    yes = {"offer": offer.number, "by": "Ada Quill", "paperless": "on", "agreed": "on"}

    client.post(f"/agree/{link_token(link)}/", yes)

    offer.refresh_from_db()
    assert offer.state == "sent"


@pytest.mark.parametrize("purpose", PURPOSES)
def test_the_address_leads_to_its_page_until_it_ends(client: Client, purpose: str) -> None:
    link = link_for(purpose)
    path = "/" + link_address(link).split("/", 3)[3]
    opened = client.get(path).status_code
    revoke_link(link=link, at=now())
    revoked = client.get(path).status_code
    HouseholdLink.objects.filter(pk=link.pk).update(revoked_at=None, expires_at=now())
    expired = client.get(path).status_code

    assert (opened, revoked, expired) == (200, 404, 404)


def test_an_offers_link_shows_no_offer_of_another_job(client: Client) -> None:
    link = link_for("offer")
    job = Offer.objects.get().job
    other = make_offer(job=make_job(household=job.household, stage="priced"), state="sent")

    page = client.get(f"/agree/{link_token(link)}/").content.decode()
    answer = client.post(f"/agree/{link_token(link)}/", {"offer": other.number, "agreed": "on"})

    assert other.number not in page
    assert answer.status_code == 409


def test_too_many_bad_links_to_a_transfer_say_when_to_try_again(client: Client) -> None:
    for n in range(20):
        assert client.get(f"/transfer/guess-{n}/").status_code == 404

    answer = client.get(f"/transfer/{link_token(link_for('transfer'))}/")

    assert answer.status_code == 429
    assert answer.headers["Retry-After"] == "3600"
