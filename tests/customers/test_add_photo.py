import pytest

from customers.actions import add_photo
from tests.factories import make_clean_photo, make_home, make_user

pytestmark = pytest.mark.django_db


def test_keeps_the_photograph_with_the_home() -> None:
    home, tech = make_home(), make_user(role="tech")

    photo = add_photo(home=home, clean=make_clean_photo(), caption="Leg 3", by=tech)

    assert (photo.home, photo.caption, photo.added_by) == (home, "Leg 3", tech)
    assert photo.image.name is not None
    assert photo.image.name.startswith(f"photos/{home.pk}/")
    assert (photo.width, photo.height) == (40, 30)


def test_the_same_photograph_sent_twice_is_kept_once() -> None:
    home = make_home()

    first = add_photo(home=home, clean=make_clean_photo(), by=None)
    second = add_photo(home=home, clean=make_clean_photo(), by=None)

    assert first == second
    assert add_photo(home=make_home(), clean=make_clean_photo(), by=None) != first
