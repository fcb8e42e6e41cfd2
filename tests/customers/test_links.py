from datetime import timedelta
from pathlib import Path

import pytest
import time_machine
from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.test import Client, RequestFactory
from django.urls import reverse
from django.utils.timezone import now
from pytest_django import Settings

from customers import links
from customers.models import HouseholdLink
from customers.views.links import for_household
from tests.factories import NOON, make_home, make_household


@pytest.fixture(autouse=True)
def nothing_counted() -> None:
    cache.clear()


def make(days: int = 30) -> HouseholdLink:
    return HouseholdLink.objects.create(
        household=make_household(), expires_at=NOON + timedelta(days=days)
    )


@for_household("my home")
def page(_request: HttpRequest, link: HouseholdLink) -> HttpResponse:
    return HttpResponse(f"hello {link.household}")


def visit(token: str, address: str = "192.0.2.1") -> HttpResponse:
    request = RequestFactory().get("/", REMOTE_ADDR=address)
    answer = page(request, token=token)
    assert isinstance(answer, HttpResponse)
    return answer


def test_opens_for_its_household_and_notes_the_use(db: None) -> None:
    link = make()

    opened = links.open_link(links.link_token(link), NOON, purpose="my home")

    assert opened.household == link.household
    link.refresh_from_db()
    assert link.last_used_at == NOON


def test_refuses_one_changed_letter(db: None) -> None:
    token = links.link_token(make())
    changed = ("a" if token[0] != "a" else "b") + token[1:]

    with pytest.raises(links.BadLink):
        links.open_link(changed, NOON, purpose="my home")


def test_refuses_the_bare_key(db: None) -> None:
    with pytest.raises(links.BadLink):
        links.open_link(make().key, NOON, purpose="my home")


def test_expires(db: None) -> None:
    token = links.link_token(make(days=1))

    with pytest.raises(links.BadLink):
        links.open_link(token, NOON + timedelta(days=1), purpose="my home")


def test_opens_nothing_once_revoked(db: None) -> None:
    link = make()

    links.revoke_link(link=link, at=NOON)

    with pytest.raises(links.BadLink):
        links.open_link(links.link_token(link), NOON, purpose="my home")


def test_guessing_from_one_address_is_stopped_and_another_let_in(db: None) -> None:
    good = links.link_token(
        HouseholdLink.objects.create(
            household=make_household(), expires_at=now() + timedelta(days=1)
        )
    )

    answers = [visit(f"guess-{n}").status_code for n in range(links.GUESSES_AN_HOUR + 5)]

    assert answers == [404] * links.GUESSES_AN_HOUR + [429] * 5
    stopped = visit(good)
    assert (stopped.status_code, stopped.headers["Retry-After"]) == (429, "3600")
    assert visit(good, address="192.0.2.2").status_code == 200


def test_guessing_is_stopped_for_an_hour_where_counts_are_kept_in_files(
    db: None, settings: Settings, tmp_path: Path
) -> None:
    backend = "django.core.cache.backends.filebased.FileBasedCache"
    settings.CACHES = {"default": {"BACKEND": backend, "LOCATION": tmp_path}}
    with time_machine.travel(NOON, tick=False) as clock:
        for n in range(links.GUESSES_AN_HOUR):
            visit(f"guess-{n}")

        clock.shift(timedelta(minutes=59))
        assert visit("guess").status_code == 429
        clock.shift(timedelta(minutes=2))
        assert visit("guess").status_code == 404


def test_a_network_of_ipv6_counts_as_one_address(db: None) -> None:
    for n in range(links.GUESSES_AN_HOUR):
        visit("guess", address=f"2001:db8::{n:x}")

    assert visit("guess", address="2001:db8::ffff:1").status_code == 429
    assert visit("guess", address="2001:db8:0:1::1").status_code == 404


def test_a_good_link_is_not_counted(db: None) -> None:
    token = links.link_token(make())

    for _visit in range(links.GUESSES_AN_HOUR + 1):
        links.open_link(token, NOON, purpose="my home", address="192.0.2.3")

    assert links.bad_tokens("192.0.2.3") == 0


def test_an_answer_with_a_link_is_not_kept_by_caches(db: None) -> None:
    assert "no-store" in visit("guess").headers["Cache-Control"]


def test_the_office_revokes_a_link_on_the_sheet(office: Client) -> None:
    home = make_home()
    household = home.household()
    assert household
    link = household.links.create(expires_at=now() + timedelta(days=3))

    office.post(reverse("home-link-revoke", args=[home.pk, link.pk]))

    link.refresh_from_db()
    assert link.revoked_at


def test_a_link_is_not_revoked_by_way_of_another_home(office: Client) -> None:
    link = make()

    answer = office.post(reverse("home-link-revoke", args=[make_home().pk, link.pk]))

    assert answer.status_code == 404
    link.refresh_from_db()
    assert link.revoked_at is None


def test_a_link_is_revoked_only_by_a_post(office: Client) -> None:
    assert office.get(reverse("home-link-revoke", args=[1, 1])).status_code == 405


def test_the_office_makes_a_link_and_reads_its_address(office: Client) -> None:
    home = make_home()

    office.post(reverse("home-links", args=[home.pk]), {"days": "7"})

    link = HouseholdLink.objects.get()
    assert timedelta(days=6) < link.expires_at - now() <= timedelta(days=7)
    page = office.get(home.get_absolute_url()).content.decode()
    assert links.link_address(link) in page
    assert "not used yet" in page


@pytest.mark.parametrize("days", ["0", "401", "x"])
def test_refuses_a_link_for_too_long_or_no_time(office: Client, days: str) -> None:
    home = make_home()

    office.post(reverse("home-links", args=[home.pk]), {"days": days})

    assert not HouseholdLink.objects.exists()


def test_a_tech_makes_no_links(tech: Client) -> None:
    assert tech.post(reverse("home-links", args=[make_home().pk])).status_code == 403
