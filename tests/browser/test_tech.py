"""The tech's day on a real screen: the round, a fitting to its hand-over, a callback to its end."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from django.utils.timezone import now
from playwright.sync_api import Page

from jobs.models import Crew, Job
from tests.browser.pages import axe, photograph, spills, words
from tests.factories import (
    make_booking,
    make_callback,
    make_crew,
    make_home,
    make_household,
    make_job,
    make_photo_file,
    make_price_book,
    make_promise,
    make_user,
)
from warranties.models import Callback

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
OpenPage = Callable[..., Page]


@pytest.fixture
def crew() -> Crew:
    crew = make_crew(name="North crew", hourly_cost=41)
    crew.members.add(make_user(role="tech"))
    make_price_book()
    return crew


@pytest.fixture
def photograph_file(tmp_path: Path) -> Path:
    path = tmp_path / "IMG_0001.jpg"
    path.write_bytes(make_photo_file(size=(800, 600), colour="teal").read())
    return path


def assert_sound(page: Page, name: str) -> None:
    assert axe(page) == []
    assert spills(page) <= 0
    photograph(page, name)


def test_from_the_round_to_the_hand_over(
    open_page: OpenPage, crew: Crew, photograph_file: Path
) -> None:
    household = make_household(name="Ana and Luis Ríos", phone="+16025550142")
    home = make_home(household=household, site_note="Dog in the yard.")
    job = make_job(home=home, stage="booked", crew=crew)
    start = now().replace(minute=0, second=0, microsecond=0)
    make_booking(crew=crew, home=home, job=job, starts_at=start, ends_at=start + timedelta(hours=1))
    page = open_page("/round/", role="tech")
    assert_sound(page, "round")

    page.get_by_role("button", name="We are here").click()
    page.get_by_role("link", name=f"Fitting {job.number}").click()
    page.get_by_label("Where").fill("Pipe by the gate")
    page.get_by_label("What", exact=True).select_option("collar")
    page.get_by_label("Take a photograph").set_input_files(photograph_file)
    page.get_by_role("button", name="Keep this detail").click()
    page.get_by_text("Add hours").click()
    page.get_by_label("Hours of the crew").fill("2.5")
    page.get_by_role("button", name="Keep these hours").click()
    assert_sound(page, "fitting")
    page.get_by_role("button", name="The fitting is finished").click()
    page.get_by_role("button", name="Prove that the ring is closed").click()
    page.get_by_role("button", name="Hand over to Ana and Luis Ríos").click()

    page.get_by_text("Handed over to Ana and Luis Ríos").wait_for()
    assert_sound(page, "handed-over")
    done = Job.objects.get(pk=job.pk)
    assert (done.stage, done.labour) == ("handed-over", 41 * 25 / 10)
    assert done.fitted_details.get().photos.count() == 1


def test_a_callback_from_the_report_to_the_promise(
    open_page: OpenPage, crew: Crew, photograph_file: Path
) -> None:
    promise = make_promise()
    page = open_page(f"/callbacks/new/{promise.number}/", role="tech")
    assert_sound(page, "callback-new")

    page.get_by_label("What the household says").fill("My son was stung in the bath.")
    page.get_by_role("button", name="Log this callback").click()
    page.get_by_role("link", name="Call Poison Help").wait_for()
    page.get_by_label("What you found").fill("A jasmine leans on the wall.")
    page.get_by_label("Cause").select_option("plant-contact")
    page.get_by_label("What was done about it").fill("Cut back.")
    page.get_by_label("Take a photograph").set_input_files(photograph_file)
    page.get_by_role("button", name="Keep the findings").click()
    page.get_by_label("courtesy").check()
    page.get_by_label("Reason").fill("First time.")
    page.get_by_role("button", name="Decide").click()
    assert_sound(page, "callback")
    page.get_by_role("button", name="Close the callback").click()

    page.get_by_text("What came of it").wait_for()
    callback = Callback.objects.get()
    assert (callback.stage, callback.photos.count()) == ("closed", 1)
    page.goto("/callbacks/")
    assert_sound(page, "callbacks")
    page.goto(promise.home.get_absolute_url())
    assert f"{callback.number} closed: Cut back." in words(page)
    assert_sound(page, "home-with-a-callback")


@pytest.mark.parametrize("size", ["phone"])
def test_everything_to_touch_is_large_enough_for_a_thumb(open_page: OpenPage, crew: Crew) -> None:
    callback = make_callback()
    start = now().replace(minute=0, second=0, microsecond=0)
    home = callback.promise.home
    make_booking(
        crew=crew,
        home=home,
        purpose="callback",
        starts_at=start,
        ends_at=start + timedelta(hours=1),
    )
    for address in ("/round/", callback.get_absolute_url()):
        page = open_page(address, role="tech")
        heights = (
            page.locator("main")
            .locator("a.button, button, summary, select")
            .evaluate_all(
                "all => all.filter(e => e.offsetParent).map(e => e.getBoundingClientRect().height)"
            )
        )
        assert heights
        assert min(heights) >= 48
