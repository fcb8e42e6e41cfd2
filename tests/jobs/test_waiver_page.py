import io
from collections.abc import Iterator
from datetime import timedelta

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from customers.models import Photo
from jobs.models import Offer
from tests.factories import NOON, make_job, make_offer

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def noon() -> Iterator[None]:
    with time_machine.travel(NOON, tick=False):
        yield


def picture() -> SimpleUploadedFile:
    file = io.BytesIO()
    Image.new("RGB", (40, 30), "white").save(file, "JPEG")
    return SimpleUploadedFile("statement.jpg", file.getvalue(), "image/jpeg")


def agreed() -> Offer:
    job = make_job(stage="agreed")
    ends = NOON + timedelta(days=3)
    return make_offer(job=job, state="agreed", agreed_at=NOON, cooling_off_ends_at=ends)


def url(offer: Offer) -> str:
    return reverse("offer-waiver", args=[offer.number])


def test_owner_keeps_the_photographed_statement(owner: Client) -> None:
    offer = agreed()

    owner.post(url(offer), {"photo": picture(), "note": "Stung twice; they waive."})

    offer.refresh_from_db()
    assert offer.held_until() is None
    assert offer.waiver_photo is not None
    assert offer.waiver_photo.home == offer.job.home
    assert (
        "Waived in the household’s own hand"
        in owner.get(offer.job.get_absolute_url()).content.decode()
    )


def test_no_photograph_no_waiver(owner: Client) -> None:
    offer = agreed()
    text = SimpleUploadedFile("statement.jpg", b"we waive our right", "image/jpeg")

    for form in ({"note": "typed"}, {"photo": text, "note": "typed"}):
        assert owner.post(url(offer), form).status_code == 422

    offer.refresh_from_db()
    assert offer.waived_at is None


def test_refused_waiver_keeps_no_photograph(owner: Client) -> None:
    offer = make_offer(state="sent")

    response = owner.post(url(offer), {"photo": picture(), "note": "x"})

    assert response.status_code == 422
    assert not Photo.objects.exists()


def test_only_the_owner_decides_it(office: Client) -> None:
    assert office.post(url(agreed()), {}).status_code == 403
