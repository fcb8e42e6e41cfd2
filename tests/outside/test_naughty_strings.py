"""The big list of naughty strings as names and notes: from form to sheet, list and find.

Source: minimaxir/big-list-of-naughty-strings, commit db33ec7, MIT.
"""

import json
from html import escape
from html.parser import HTMLParser

import pytest
from django.test import Client
from django.urls import reverse

from customers.forms import HouseholdForm
from customers.models import Home
from tests.factories import make_home
from tests.published import shared_data


class Page(HTMLParser):
    """What a browser would take from a page: its elements and its text."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.words: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        kinds = [name for name, _value in attrs if name.startswith("on") or name == "style"]
        self.tags.append(f"{tag} {kinds}" if kinds else tag)

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    @property
    def text(self) -> str:
        return "".join(self.words)


def naughty() -> list[str]:
    return json.loads(shared_data("strings", "blns.json").read_text())


def typed(name: str) -> dict[str, str]:
    return {"name": name, "language": "en", "note": name}


@pytest.mark.long(15)
def test_every_one_comes_through_form_and_sheet_as_text(office: Client) -> None:
    strings = naughty()
    home = make_home()
    change = reverse("household-change", args=[home.pk])
    office.post(change, typed("plain"))
    plain = Page(office.get(home.get_absolute_url()).content.decode()).tags
    refused = []

    for string in strings:
        if office.post(change, typed(string)).status_code == 422:
            refused.append(string)
            continue
        page = Page(office.get(home.get_absolute_url()).content.decode())
        household = Home.objects.get().household()
        assert household
        assert household.name == HouseholdForm(typed(string)).fields["name"].clean(string)
        assert household.name in page.text
        assert [tag for tag in page.tags if tag != "br"] == [tag for tag in plain if tag != "br"]

    for string in refused:
        assert not HouseholdForm(typed(string)).is_valid()
    assert len(refused) < len(strings) / 20


def test_a_refused_one_stands_harmless_in_the_form(office: Client) -> None:
    change = reverse("household-change", args=[make_home().pk])
    unknown = {**typed("plain"), "language": "xx"}
    plain = set(Page(office.post(change, unknown).content.decode()).tags)

    for string in naughty()[::4]:
        answer = office.post(change, {**typed(string), "language": string})
        assert answer.status_code == 422
        assert set(Page(answer.content.decode()).tags) == plain


def test_finding_any_one_of_them_answers_calmly(office: Client) -> None:
    make_home()

    for string in naughty():
        answer = office.get(reverse("homes"), {"find": string})
        assert answer.status_code in {200, 302}
        if answer.status_code == 200 and string.strip():
            assert f"“{escape(string.strip())}”" in answer.content.decode()
