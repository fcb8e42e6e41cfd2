"""What the diary's script does: a visit dragged to another day and crew is moved there."""

from collections.abc import Callable
from datetime import datetime, time, timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page

from jobs.actions import booking
from jobs.models import Booking, Crew
from tests.browser.pages import words
from tests.factories import make_crew, make_home

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.parametrize("size", ["desk"]),  # a finger has the visit's own page
]


def visit_of(crew: Crew) -> Booking:
    """Two hours from ten on the Monday of next week."""
    today = timezone.localdate()
    monday = today + timedelta(days=7 - today.weekday())
    home = make_home(street="14 Juniper Bend")
    start = datetime.combine(monday, time(10), tzinfo=home.tz)
    return booking.book(
        crew=crew,
        home=home,
        purpose="check",
        starts_at=start,
        ends_at=start + timedelta(hours=2),
        at=timezone.now(),
    )


def drag(page: Page, crew: Crew, visit: Booking, days: int) -> str:
    """Drag the visit to that crew so many days later; return what the page says then."""
    start = visit.starts_at.astimezone(visit.home.tz).date()
    year, week, _ = start.isocalendar()
    page.goto(f"/diary/?week={year}-W{week:02}")
    target = f"[data-day='{start + timedelta(days=days)}'][data-crew='{crew.pk}']"
    with page.expect_navigation():
        page.drag_and_drop(".stop a", target)
    return words(page)


def test_dragging_moves_the_visit(open_page: Callable[..., Page]) -> None:
    crew, other = make_crew(name="North crew"), make_crew(name="South crew")
    visit = visit_of(crew)

    said = drag(open_page("/diary/", role="office"), other, visit, days=2)

    moved = Booking.objects.get(pk=visit.pk)
    assert "Moved: check at 14 Juniper Bend" in said
    assert moved.starts_at == visit.starts_at + timedelta(days=2)
    assert (moved.crew, moved.ends_at - moved.starts_at) == (other, timedelta(hours=2))


def test_dragging_onto_a_taken_time_is_refused_with_the_reason(
    open_page: Callable[..., Page],
) -> None:
    crew, other = make_crew(name="North crew"), make_crew(name="South crew")
    visit = visit_of(crew)
    booking.book(
        crew=other,
        home=make_home(street="9 Far End"),
        purpose="check",
        starts_at=visit.starts_at + timedelta(days=1),
        ends_at=visit.ends_at + timedelta(days=1),
        at=timezone.now(),
    )

    said = drag(open_page("/diary/", role="office"), other, visit, days=1)

    assert "South crew is taken: check at 9 Far End" in said
    assert Booking.objects.get(pk=visit.pk).starts_at == visit.starts_at
