"""The address that serves a photograph."""

import io
from collections.abc import Callable

import pytest
from django.http.response import ResponseHeaders
from django.test import Client
from django.urls import reverse
from PIL import Image

from customers.actions import add_photo
from customers.models import Photo
from shared.models import User
from shared.photos import read_photo
from tests.factories import make_home, make_photo_file


@pytest.fixture
def photo(db: None) -> Photo:
    return add_photo(home=make_home(), clean=read_photo(make_photo_file(size=(600, 400))), by=None)


def served(client: Client, photo: Photo, query: str = "") -> tuple[Image.Image, ResponseHeaders]:
    response = client.get(reverse("photo", args=[photo.pk]) + query)
    assert response.status_code == 200
    return Image.open(io.BytesIO(b"".join(response))), response.headers


def test_serves_it_as_a_picture_and_nothing_else(tech: Client, photo: Photo) -> None:
    image, headers = served(tech, photo)

    assert image.size == (600, 400)
    assert headers["Content-Type"] == "image/jpeg"
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Cache-Control"].startswith("private")


def test_serves_it_smaller_and_keeps_that(tech: Client, photo: Photo) -> None:
    for _ in range(2):
        image, _headers = served(tech, photo, "?width=320")
        assert image.size == (320, 213)
    assert served(tech, photo, "?width=1280")[0].size == (600, 400)


@pytest.mark.parametrize("width", ["321", "0", "-320", "big", "", "٣٢٠", "9" * 30])
def test_makes_no_other_widths(tech: Client, photo: Photo, width: str) -> None:
    response = tech.get(reverse("photo", args=[photo.pk]), {"width": width})

    assert response.status_code == 404


def test_a_lost_file_is_not_found(tech: Client, photo: Photo) -> None:
    photo.image.delete(save=False)
    Photo.objects.filter(pk=photo.pk).update(image="photos/gone.jpg")

    assert tech.get(reverse("photo", args=[photo.pk])).status_code == 404


def test_is_shown_to_nobody_from_outside(client: Client, photo: Photo) -> None:
    assert client.get(reverse("photo", args=[photo.pk])).status_code == 302


def test_is_shown_to_nobody_without_the_permission(
    sign_in: Callable[[str], Client], photo: Photo
) -> None:
    browser = sign_in("tech")
    User.objects.get(username="tech").groups.clear()

    assert browser.get(reverse("photo", args=[photo.pk])).status_code == 403
