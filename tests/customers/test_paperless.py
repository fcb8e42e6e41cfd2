"""15 USC 7001(c): what is told before the choice, how it is kept, how it ends.

The rows are E-01 and E-03 of ../shared/standards/law.md, 4.2, read from the statute's text.
"""

from datetime import timedelta

import pytest
from django.db import IntegrityError
from django.test import Client
from django.urls import reverse

from customers import actions
from customers.models import Household, Paperless
from customers.models.paperless import STATEMENT
from customers.paperless import statement, told
from tests.factories import NOON, make_home, make_household, make_paperless

pytestmark = pytest.mark.django_db

# (B)(i) paper, and withdrawal with its consequence and fee; (ii) scope; (iii) how to withdraw and
# keep the address up to date; (iv) a paper copy and its fee; (C)(i) what is needed.
NEEDED = {
    "en": [
        ("on paper instead", "costs nothing"),
        ("take this choice back at any time", "stays agreed", "by letter"),
        ("What it is for", "Nothing else"),
        ("mail address changes",),
        ("Paper copies", "costs nothing"),
        ("web browser", "opens PDF files"),
    ],
    "es": [
        ("recibir en papel", "No cuesta nada"),
        ("retirar esta elección en cualquier momento", "sigue aceptado", "por carta"),
        ("Para qué sirve", "Para nada más"),
        ("cambia su dirección",),
        ("Copias en papel", "No cuesta nada"),
        ("navegador", "abra archivos PDF"),
    ],
}


def give(household: Household) -> Paperless:
    return actions.give_paperless(
        household=household, language="en", by="Ada Quill", shown_how="Typed the code.", at=NOON
    )


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_item_of_the_statute_is_told(language: str) -> None:
    items = told(language)

    assert len(items) == len(NEEDED[language])
    for item, words in zip(items, NEEDED[language], strict=True):
        assert [each for each in words if each not in item] == []


def test_the_consent_keeps_what_was_told() -> None:
    given = give(make_household())

    assert given.statement == statement("en")
    assert (given.version, given.withdrawn_at) == (STATEMENT, None)


def test_given_twice_is_given_once() -> None:
    household = make_household()

    assert give(household) == give(household)


def test_withdrawing_ends_it_and_keeps_both() -> None:
    household = make_household()
    given = give(household)
    later = NOON + timedelta(days=6)

    actions.withdraw_paperless(household=household, how="Said on my home.", at=later)

    given.refresh_from_db()
    assert (given.withdrawn_at, given.withdrawn_how) == (later, "Said on my home.")
    assert not household.paperless.standing().exists()
    assert [each.withdrawn_at for each in given.history.all()] == [later, None]
    assert give(household) != given


def test_a_new_statement_asks_anew() -> None:
    household = make_household()
    old = make_paperless(household=household, version=STATEMENT - 1)
    assert not household.paperless.standing().exists()

    new = give(household)

    old.refresh_from_db()
    assert old.withdrawn_at == NOON
    assert list(household.paperless.standing()) == [new]


def test_a_consent_that_does_not_say_how_is_none() -> None:
    with pytest.raises(IntegrityError):
        make_paperless(household=make_household(), shown_how="")


def test_the_office_notes_that_they_want_paper_again(office: Client) -> None:
    home = make_home()
    household = home.household()
    assert household is not None
    make_paperless(household=household)
    page = home.get_absolute_url()
    assert "Go as files since" in office.get(page).content.decode()

    answer = office.post(reverse("paperless-withdraw", args=[home.pk]), follow=True)

    words = answer.content.decode()
    assert "their papers go by letter from now on" in words
    assert "Were files from" in words
    assert not household.paperless.standing().exists()
