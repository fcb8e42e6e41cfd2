"""Readings entered at a home, odd ones asked about, checks marked as made."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.timezone import now

from customers.models import Photo, Plant
from tests.factories import (
    TODAY,
    make_home,
    make_job,
    make_photo_file,
    make_plant,
    make_promise,
    make_user,
)
from warranties.actions import checking, watching
from warranties.models import Check, Reading, Watch

pytestmark = pytest.mark.django_db


def measured() -> Plant:
    """A plant that stood a foot clear a fortnight ago."""
    plant = make_plant()
    reading = Reading(plant=plant, on=today() - timedelta(days=14), clearance_mm=Decimal("304.8"))
    watching.keep_reading(reading=reading, today=today())
    return plant


def today() -> date:
    return now().astimezone(make_home().tz).date()


def typed(plant: Plant, **fields: Any) -> dict[str, Any]:
    given = {"on": today().isoformat(), **fields}
    return {f"plant-{plant.pk}-{name}": value for name, value in given.items()}


def send(client: Client, plant: Plant, **fields: Any) -> Any:
    return client.post(reverse("reading-new", args=[plant.pk]), typed(plant, **fields))


def test_a_tech_reads_a_plant_with_its_photograph(tech: Client) -> None:
    plant = measured()

    answer = send(tech, plant, clearance="11 1/2 in", trimmed_to="1' 6\"", taken=make_photo_file())

    assert answer.status_code == 302
    kept = plant.readings.latest("pk")
    assert (kept.clearance_mm, kept.trimmed_to_mm) == (Decimal("292.1"), Decimal("457.2"))
    assert kept.photo == Photo.objects.get()
    assert kept.by == make_user(role="tech")
    page = tech.get(answer.headers["Location"]).content.decode()
    assert "1&#x27; 6&quot; clear" in page
    assert Watch.objects.get().clearance_mm == pytest.approx(457.2)


def test_an_odd_reading_is_asked_about_and_what_was_typed_stays(tech: Client) -> None:
    plant = measured()

    asked = send(tech, plant, clearance="3 ft", taken=make_photo_file())

    page = asked.content.decode()
    assert asked.status_code == 422
    assert "Was it cut back in between?" in page
    assert "Yes, it is so" in page
    assert 'value="3 ft"' in page
    assert plant.readings.count() == 1
    photo = Photo.objects.get()

    answer = send(tech, plant, clearance="3 ft", kept=photo.pk, confirmed="on")

    assert answer.status_code == 302
    kept = plant.readings.latest("pk")
    assert (kept.confirmed, kept.photo, kept.clearance_mm) == (True, photo, Decimal("914.4"))


def test_the_photograph_of_another_home_is_not_taken(tech: Client) -> None:
    plant, other = measured(), make_photo_file()
    send(tech, measured(), clearance="3 ft", taken=other)

    answer = send(tech, plant, clearance="11 in", kept=Photo.objects.get().pk)

    assert answer.status_code == 422
    assert plant.readings.count() == 1


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({}, "Say one of them at least"),
        ({"clearance": "7"}, "cannot be read"),
        ({"clearance": "7 in", "on": "2199-01-01"}, "still to come"),
    ],
)
def test_nonsense_is_refused_in_words(office: Client, fields: dict[str, str], said: str) -> None:
    plant = measured()

    answer = send(office, plant, **fields)

    assert answer.status_code == 422
    assert said in answer.content.decode()


def test_a_reading_sent_twice_is_kept_once(tech: Client) -> None:
    plant = measured()

    for _time in range(2):
        send(tech, plant, clearance="11 in")

    assert plant.readings.count() == 2


def test_the_sheet_leads_to_the_readings(office: Client) -> None:
    plant = measured()

    page = office.get(plant.home.get_absolute_url()).content.decode()

    assert reverse("readings", args=[plant.home_id]) in page


def made(client: Client, check: Check, findings: str = "All seals sound.") -> Any:
    return client.post(
        reverse("check-done", args=[check.pk]), {f"check-{check.pk}-findings": findings}
    )


def test_a_check_is_made_with_its_findings_and_plans_the_next(tech: Client) -> None:
    start = today() - timedelta(days=30)
    home = make_home()
    make_promise(job=make_job(home=home, stage="handed-over"), starts_on=start)
    check = Check.objects.create(home=home, kind="seal", due_on=today())

    answer = made(tech, check)

    check.refresh_from_db()
    assert answer.status_code == 302
    assert (check.done_on, check.findings) == (today(), "All seals sound.")
    following = Check.objects.get(done_on=None)
    assert (following.kind, following.due_on.year) == ("seal", start.year + 1)
    assert made(tech, check).status_code == 422
    assert Check.objects.count() == 2


def test_a_check_needs_its_findings(tech: Client) -> None:
    check = Check.objects.create(home=make_home(), kind="seal", due_on=TODAY)

    answer = made(tech, check, findings=" ")

    assert "Say what you found" in answer.content.decode()
    assert Check.objects.filter(done_on=None).exists()


def test_no_second_seal_check_where_one_waits() -> None:
    home = make_home()
    make_promise(job=make_job(home=home), starts_on=TODAY)

    first, second = (checking.plan_seal_check(home=home, today=TODAY) for _ in range(2))

    assert first is not None
    assert second is None
