import pytest
from django.core.files.base import ContentFile

from customers.actions import add_photo
from shared.photos import NotAPhoto
from tests.factories import make_home, make_photo_file, make_user

pytestmark = pytest.mark.django_db


def test_keeps_the_photograph_with_the_home() -> None:
    home, tech = make_home(), make_user(role="tech")

    photo = add_photo(home=home, upload=make_photo_file(), caption="Leg 3", by=tech)

    assert (photo.home, photo.caption, photo.added_by) == (home, "Leg 3", tech)
    assert photo.image.name is not None
    assert photo.image.name.startswith(f"photos/{home.pk}/")
    assert (photo.width, photo.height) == (40, 30)


def test_the_same_photograph_sent_twice_is_kept_once() -> None:
    home = make_home()

    first = add_photo(home=home, upload=make_photo_file(), by=None)
    second = add_photo(home=home, upload=make_photo_file(), by=None)

    assert first == second
    assert add_photo(home=make_home(), upload=make_photo_file(), by=None) != first


def test_refuses_what_is_no_photograph() -> None:
    home = make_home()

    with pytest.raises(NotAPhoto):
        add_photo(home=home, upload=ContentFile(b"<html>", name="leg.jpg"), by=None)

    assert not home.photos.exists()
