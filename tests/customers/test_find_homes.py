import pytest
from django.test import Client
from django.urls import reverse

from customers import actions, finding
from customers.models import Home, Household
from shared.paging import keyset_page
from tests.factories import NOON, make_home, make_household


def made(street: str = "14 Juniper Street", **people: str) -> Home:
    home = make_home(street=street, household=make_household(**people))
    actions.keep_words(home=home)
    return home


@pytest.fixture
def ortegas(db: None) -> Home:
    made("15 Juniper Street", name="Ben Xiong", phone="+16025550199", mail="ben@example.com")
    return made(name="Ana Muñoz Ortega", phone="+16025550123", mail="ana.ortega@example.com")


@pytest.mark.parametrize(
    "asked",
    [
        "14 juniper",
        "juniper street 14",
        "ORTEGA",
        "ort jun",
        "munoz",
        "602 555 0123",
        "+1 (602) 555-0123",
        "555-0123",
        "0123",
        "ana.ortega@example.com",
        "ana.ortega@ex",
    ],
)
def test_finds_by_the_beginnings_of_words(ortegas: Home, asked: str) -> None:
    assert list(finding.homes_found(asked)) == [ortegas]


@pytest.mark.parametrize("asked", ["uniper", "14 ortega xiong", "4", "9999", "!?", "%", "_", "'"])
def test_finds_nothing_else(ortegas: Home, asked: str) -> None:
    assert list(finding.homes_found(asked)) == []


def test_a_single_digit_is_the_whole_house_number(db: None) -> None:
    seven = made("7 Mill Road")
    made("71 Mill Road")

    assert list(finding.homes_found("7 mill")) == [seven]


def test_nothing_asked_finds_all(ortegas: Home) -> None:
    assert finding.homes_found(" ").count() == 2


@pytest.mark.parametrize("few", [1, 2_000])
@pytest.mark.parametrize("asked", ["juniper ortega", "jun ort", "juniper ort", "ana or 14"])
def test_finds_the_same_whether_a_word_is_rare_or_common(
    ortegas: Home, few: int, asked: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(finding, "FEW", few)

    assert list(finding.homes_found(asked)) == [ortegas]


@pytest.mark.parametrize("asked", ["quail", "qu", "trail quail"])
def test_hits_are_paged_in_the_order_of_streets(db: None, asked: str) -> None:
    homes = [made(f"{n} Quail Trail", name=f"Household {n}") for n in (11, 2, 30, 5)]
    homes[0].street = "40 Quail Trail"
    actions.change_home(home=homes[0])

    pages, after = [], None
    while True:
        found = finding.homes_found(asked)
        page = keyset_page(
            found, order=("place", "pk"), after=after, rows=3, kept_as="street_order"
        )
        pages.append([home.street.split()[0] for home in page.rows])
        after = page.after
        if after is None:
            break

    assert pages == [["2", "5", "30"], ["40"]]


def test_a_changed_household_is_found_by_its_new_name_only(ortegas: Home) -> None:
    household = Household.objects.get(name__contains="Ortega")
    household.name = "Ana Castillo"

    actions.change_household(household=household)

    assert list(finding.homes_found("castillo")) == [ortegas]
    assert not finding.homes_found("munoz").exists()


def test_a_new_owner_is_found_and_the_former_no_more(ortegas: Home) -> None:
    actions.change_owner(
        home=ortegas,
        household=Household(name="Uma Vance"),
        said=actions.Said({}, "told us"),
        on=NOON.date(),
        at=NOON,
    )

    assert list(finding.homes_found("vance")) == [ortegas]
    assert not finding.homes_found("ortega").exists()


def test_an_app_above_adds_its_numbers(ortegas: Home, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(finding, "_sources", [])
    finding.register_words(lambda _homes: [(ortegas.pk, "2026-0117")])

    actions.keep_words(home=ortegas)

    for asked in ("2026-0117", "2026-01", "20260117"):
        assert list(finding.homes_found(asked)) == [ortegas]


def test_one_hit_opens_its_sheet(office: Client, ortegas: Home) -> None:
    answer = office.get(reverse("homes"), {"find": "ortega"})

    assert answer.headers["Location"] == ortegas.get_absolute_url()


def test_several_hits_are_listed_and_the_box_keeps_the_words(office: Client, ortegas: Home) -> None:
    page = office.get(reverse("homes"), {"find": "juniper"}).content.decode()

    assert "2 homes found for “juniper”" in page
    assert 'value="juniper"' in page
    assert page.index("14 Juniper Street") < page.index("15 Juniper Street")


def test_no_hit_says_what_to_try(office: Client, ortegas: Home) -> None:
    page = office.get(reverse("homes"), {"find": "<b>nobody"}).content.decode()

    assert "0 homes found for “&lt;b&gt;nobody”" in page
    assert "Try fewer" in page
