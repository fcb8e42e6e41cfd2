from datetime import UTC, datetime

import pytest
from django.test import Client

from customers import sheet, story
from customers.models import Home
from tests.factories import make_home


def test_shows_home_household_consent_and_story(office: Client) -> None:
    home = make_home(street="14 Juniper Bend", site_note="Dog in the yard")
    household = home.household()
    assert household

    page = office.get(home.get_absolute_url()).content.decode()

    for text in (
        "14 Juniper Bend",
        household.name,
        "(602) 555-0123",
        "told us by phone",
        "Dog in the yard",
        "Entered in our books.",
        "No plan of this home has been walked yet",
    ):
        assert text in page


def test_the_story_is_newest_first(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(story, "_sources", [])
    old = story.StoryEntry(datetime(2026, 1, 1, tzinfo=UTC), "old")
    new = story.StoryEntry(datetime(2026, 2, 1, tzinfo=UTC), "new")
    after = story.StoryEntry(new.at, "after")
    story.register(lambda _home: [old])
    story.register(lambda _home: [new, after])

    assert story.story(make_home()) == [after, new, old]


def test_shows_a_piece_from_an_app_above(office: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet, "_pieces", [])
    home = make_home()

    def facts(shown: Home) -> dict[str, object]:
        return {"reason": f"piece of {shown.pk}"}

    sheet.register(place="right", template="customers/_plan.html", facts=facts)
    page = office.get(home.get_absolute_url()).content.decode()

    assert page.count("No plan of this home has been walked yet") == 2


def test_a_home_without_a_household_is_still_shown(office: Client) -> None:
    home = make_home()
    home.ownerships.all().delete()

    assert "Nobody holds this home" in office.get(home.get_absolute_url()).content.decode()


def test_a_tech_sees_it_without_the_office_s_buttons(tech: Client) -> None:
    page = tech.get(make_home().get_absolute_url()).content.decode()

    assert "Change the household" not in page
