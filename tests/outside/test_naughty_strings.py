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
from customers.models import Household
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


def test_every_one_comes_through_the_form(office: Client) -> None:
    strings = naughty()
    change = reverse("household-change", args=[make_home().pk])
    refused = 0

    for string in strings:
        form = HouseholdForm(typed(string))
        if office.post(change, typed(string)).status_code == 422:
            assert not form.is_valid()
            refused += 1
        else:
            assert form.is_valid()
            kept = Household.objects.values("name", "note").get()
            assert kept == {each: form.cleaned_data[each] for each in kept}

    assert refused < len(strings) / 20


@pytest.mark.long(10)
@pytest.mark.any_database
def test_every_one_stands_on_the_sheet_as_text(office: Client) -> None:
    home = make_home()
    household = home.household()
    sheet = home.get_absolute_url()
    HouseholdForm(typed("plain"), instance=household).save()
    plain = Page(office.get(sheet).content.decode()).tags

    for string in naughty():
        form = HouseholdForm(typed(string), instance=household)
        if not form.is_valid():
            continue
        form.save()
        page = Page(office.get(sheet).content.decode())
        assert form.instance.name in page.text
        assert [tag for tag in page.tags if tag != "br"] == [tag for tag in plain if tag != "br"]


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
