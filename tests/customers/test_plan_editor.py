"""The plan editor: each form, each refusal at its field, late edits, with and without htmx."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from customers.models import Home, Plan
from customers.plan.document import PlanDocument, Walk
from tests.customers.plan.houses import house, leg
from tests.customers.planned import LEG, document, field_error, post, text
from tests.factories import make_plan

pytestmark = pytest.mark.usefixtures("at_noon")


def test_a_whole_house_is_walked_leg_by_leg(tech: Client, home: Home) -> None:
    for length in ("32-9 11/16", "8 m", "10000 mm", "26' 2 15/16\""):
        response = post(tech, home, "new-leg", {**LEG, "length": length, "turn": "left"})
        assert response.status_code == 302

    page = text(tech.get(reverse("plan-edit", args=[home.pk])))

    assert "4 legs" in page
    assert "Closes to 0' 0 1/16\", one part in" in page
    assert "Closed." in page
    assert Plan.objects.get(home=home).revision == 4


def test_an_open_walk_says_how_far_it_is_off_and_what_would_close_it(
    tech: Client, home: Home
) -> None:
    for length in ("20", "10", "20"):
        post(tech, home, "new-leg", {**LEG, "length": length, "turn": "left"})

    page = text(tech.get(reverse("plan-edit", args=[home.pk])))

    assert "Does not close : it ends 10' 0\" from where it began." in page.replace(
        "close:", "close :"
    )
    assert "A leg of 10' 0\" straight ahead would close it." in page
    assert "Not closed: the plan has" in page


def test_a_leg_that_is_too_short_is_named_at_once(tech: Client, home: Home) -> None:
    for length in ("30", "20", "28", "20"):
        post(tech, home, "new-leg", {**LEG, "length": length, "turn": "left"})

    page = text(tech.get(reverse("plan-edit", args=[home.pk])))

    assert "Leg 1 looks 2' 0\" long, or leg 3 looks 2' 0\" short." in page


def test_what_stands_there_follows_once_every_walk_closes(tech: Client, home: Home) -> None:
    first = tech.get(reverse("plan-edit", args=[home.pk]))
    make_plan(home=home, document=house())
    later = tech.get(reverse("plan-edit", args=[home.pk]))

    assert "Add a leg" in text(first)
    assert "Add what stands there" in text(later)


def test_the_turn_is_the_button_and_the_angle_its_size(tech: Client, home: Home) -> None:
    for turn, angle in (("left", ""), ("right", "45"), ("straight", "")):
        post(tech, home, "new-leg", {**LEG, "length": "10", "turn": turn, "angle": angle})

    assert [leg.turn_deg for _, leg in document(home).legs] == [90, -45, 0]


def test_a_leg_begins_as_the_one_before_it_ended(tech: Client, walked: Home) -> None:
    page = tech.get(reverse("plan-panel", args=[walked.pk, "new-leg"])).content.decode()

    assert '<option value="glass" selected>glass</option>' in page


@pytest.mark.parametrize(
    ("length", "said"),
    [
        ("", "required"),
        ("0", "leg 5 has no length"),
        ("1/16 in", "Is the unit right?"),
        ("9000", "Is the unit right?"),
        ("-3", "cannot be below zero"),
        ("twelve", "cannot be read at character 1"),
        ("24' 13\"", "12 in or more are a whole ft"),
    ],
)
def test_a_length_that_cannot_be_is_refused_at_its_field(
    tech: Client, walked: Home, length: str, said: str
) -> None:
    response = post(tech, walked, "new-leg", {**LEG, "length": length, "turn": "left"})

    assert response.status_code == 422
    assert said.lower() in field_error(response, "length").lower()
    assert (
        f'value="{length}"'.replace('13"', "13&quot;").replace("' ", "&#x27; ")
        in (response.content.decode())
        or not length
    )
    assert document(walked) == house()


@pytest.mark.parametrize(
    ("given", "field", "said"),
    [
        ({"angle": "180"}, "angle", "less than 180"),
        ({"angle": "square"}, "angle", "in degrees"),
        ({"rise": "200 ft"}, "rise", "twice its chord"),
        ({"strip": "aluminium"}, "strip", "indoors and dry garages only"),
        ({"strip_height": "x"}, "strip_height", "cannot be read"),
    ],
)
def test_what_is_wrong_with_a_leg_stands_at_its_field(
    tech: Client, walked: Home, given: dict[str, str], field: str, said: str
) -> None:
    response = post(tech, walked, "new-leg", {**LEG, "length": "20", "turn": "left", **given})

    assert response.status_code == 422
    assert said in field_error(response, field)


def test_a_walk_that_crosses_itself_says_so_at_the_leg(tech: Client, home: Home) -> None:
    """East 10 m, north 10, west 5, then south 15 through the first leg."""
    turned = ((10, 90), (10, 90), (5, 90), (15, -90), (5, -90), (5, -90))
    legs = tuple(
        leg(number, metres * 1000, turn_deg=Decimal(turn))
        for number, (metres, turn) in enumerate(turned, start=1)
    )
    make_plan(home=home, document=PlanDocument(walks=(Walk(id="walk-1", legs=legs),)))

    listed = text(tech.get(reverse("plan-edit", args=[home.pk])))
    panel = text(tech.get(reverse("plan-panel", args=[home.pk, "leg-4"])))

    assert "Turn: Leg 4 crosses leg 1." in listed
    assert panel.count("Turn: Leg 4 crosses leg 1.") == 2


def test_a_plan_without_ground_says_so(tech: Client, home: Home) -> None:
    post(tech, home, "new-walk", {"name": "Shed", "kind": "outbuilding"})

    page = text(tech.get(reverse("plan-edit", args=[home.pk])))

    assert "No wall meets the ground" in page
    assert "Closed." not in page
