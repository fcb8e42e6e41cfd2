"""The plan as fitted: strips, details, cut backs."""

from decimal import Decimal

import pytest

from customers.plan.contacts import check_plan
from customers.plan.editing import turn
from customers.plan.features import KINDS
from customers.plan.problems import problems
from jobs.asfitted import DETAIL_OF, Done, as_fitted, exposures_in, places, surface_at
from jobs.models.prices import price_codes
from tests.customers.plan.houses import feature, house, leg, touch

CLEARANCE = Decimal(305)


def test_everything_that_the_price_book_sells_by_the_piece_has_a_place_in_the_plan() -> None:
    assert set(DETAIL_OF) == {code for code, _text in price_codes()} - {"visit", "hour"}


def test_places_are_named_in_words() -> None:
    document = house(feature("pipe-1", "pipe", name="hose bib"), feature("door-1", "door"))

    words = {each.mark: each.words for each in places(document)}

    assert words["leg-1"] == "leg 1"
    assert words["pipe-1/house"] == "hose bib > building"
    assert words["door-1/sill"] == "door 1"


def test_a_strip_goes_on_its_leg_alone() -> None:
    bare = house(legs=(leg(1, strip=""), leg(2, 8_000, strip="")))

    fitted = as_fitted(bare, [Done("leg-1", "strip-glass", "sound")], clearance_mm=CLEARANCE)

    strips = {each.id: (each.strip, each.strip_state) for _, each in fitted.legs}
    assert strips["leg-1"] == ("glass", "sound")
    assert strips["leg-2"][0] == ""


@pytest.mark.parametrize(
    ("mark", "surface", "exposure"),
    [
        ("leg-2", "brick", "east"),
        ("pipe-1/foot", "stucco", "south"),
        ("gate-1/house", "stucco", "south"),
        ("gate-1/leg-2", "brick", "east"),
        ("by-the-gate", "", ""),
    ],
    ids=["a leg", "what stands at one", "its own wall", "the other wall", "no place of the plan"],
)
def test_a_place_has_the_surface_and_exposure_of_the_wall_there(
    mark: str, surface: str, exposure: str
) -> None:
    gate = feature("gate-1", "gate", touches=(touch("leg-2"),))
    document = house(feature("pipe-1", "pipe"), gate, legs=(leg(2, 8_000, surface="brick"),))

    assert surface_at(document, mark) == surface
    assert exposures_in(turn(document, Decimal(90)))(mark) == exposure


@pytest.mark.parametrize("kind", list(KINDS))
def test_one_detail_for_each_place_closes_the_ring(kind: str) -> None:
    garage = leg(1, strip="aluminium", inside_dry=True)
    document = house(feature("thing-1", kind), legs=(garage,))
    offered = [each for each in places(document) if each.mark.startswith("thing-1/")]

    done = [Done(each.mark, each.codes[0], "sound") for each in offered]
    fitted = as_fitted(document, done, clearance_mm=CLEARANCE)

    assert offered
    assert problems(fitted) == []
    assert check_plan(fitted).closed


def test_a_damaged_detail_leaves_the_ring_open() -> None:
    document = house(feature("pipe-1", "pipe"))

    fitted = as_fitted(
        document, [Done("pipe-1/house", "collar", "damaged")], clearance_mm=CLEARANCE
    )

    assert not check_plan(fitted).closed


def test_a_plant_is_cut_back_from_what_it_touches_to_what_it_needs() -> None:
    plant = feature(
        "plant-1", "plant on the ground", needs_mm=Decimal(450), touches=(touch("leg-2"),)
    )
    done = [Done("plant-1/house", "cut-back", "sound"), Done("plant-1/leg-2", "cut-back", "sound")]

    fitted = as_fitted(house(plant), done, clearance_mm=CLEARANCE)

    cut = fitted.features[0]
    assert (cut.clearance_mm, cut.touches[0].clearance_mm) == (Decimal(450), Decimal(450))
    assert check_plan(fitted).closed


def test_what_the_plan_does_not_hold_changes_nothing() -> None:
    document = house(feature("pipe-1", "pipe"))
    done = [Done("leg-9", "strip-glass", "sound"), Done("leg-1", "collar", "sound")]

    assert as_fitted(document, done, clearance_mm=CLEARANCE) == document
