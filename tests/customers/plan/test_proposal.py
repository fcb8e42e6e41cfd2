from dataclasses import replace
from datetime import date
from decimal import Decimal

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from customers.plan.contacts import Outlook, check_plan, first_open_day
from customers.plan.document import Feature, Leg, PlanDocument, Touch
from customers.plan.features import KINDS
from customers.plan.problems import problems
from customers.plan.proposal import carried_out, steps
from customers.plan.ring import Closing
from tests.customers.plan.houses import PRICES, feature, house, leg, touch

OUTLOOK = Outlook(prices=PRICES)


def closing_of(document: PlanDocument) -> Closing:
    closing = check_plan(document, OUTLOOK).cheapest_closing
    assert closing is not None
    return closing


def test_every_step_says_where_what_and_why() -> None:
    document = house(
        feature("riser-1", "meter riser", name="gas riser"), legs=(leg(2, 8_000, strip=""),)
    )

    strip, collar = steps(document, closing_of(document))

    assert (strip.detail, strip.where) == ("strip", "between ground and building at leg 2")
    assert "flat, sound face" in strip.rules[0].text
    assert (collar.where, collar.cost) == ("between ground and gas riser", Decimal("35.00"))
    assert "gas meter" in collar.rules[0].text


def test_a_plant_is_cut_to_the_clearance_it_needs() -> None:
    vine = feature("plant-1", "plant on a wall", needs_mm=Decimal(450), touches=(touch("leg-2"),))
    document = house(vine)

    [after] = carried_out(document, closing_of(document)).features

    assert after.clearance_mm == 450
    assert after.touches == (touch("leg-2", 450),)
    assert after.details == {}


def test_a_leg_takes_the_strip_that_was_proposed() -> None:
    document = house(legs=(leg(1, strip="", inside_dry=True), leg(3, strip_state="damaged")))

    after = carried_out(document, closing_of(document))

    assert [(each.strip, each.strip_state) for _, each in after.legs] == [
        ("aluminium", "sound"),
        ("glass", "sound"),
        ("glass", "sound"),
        ("glass", "sound"),
    ]


def test_the_first_open_day_of_a_plan() -> None:
    document = house(feature("plant-1", "plant on the ground", clearance_mm=Decimal(90)))
    outlook = Outlook(opens={"plant-1/house": date(2026, 5, 4)})
    start, until = date(2026, 1, 1), date(2026, 12, 31)

    assert first_open_day(document, outlook, start, until) == date(2026, 5, 4)
    assert first_open_day(document, Outlook(), start, until) is None
    assert first_open_day(PlanDocument(), outlook, start, until) == start


@st.composite
def plans(draw: st.DrawFn) -> PlanDocument:
    """Houses with features of every kind that touch one another, in any state, without faults."""
    states = st.sampled_from(["sound", "damaged", "unknown"])
    legs = tuple(
        Leg(
            id=f"leg-{number}",
            length_mm=Decimal(10_000 if number % 2 else 8_000),
            strip=draw(st.sampled_from(["", "glass"])),
            strip_state=draw(states),
            inside_dry=draw(st.booleans()),
        )
        for number in range(1, 5)
    )
    made: list[Feature] = []
    for number in range(draw(st.integers(0, 6))):
        earlier = [each.id for each in made] + ["leg-3", "leg-4"]
        met = draw(st.lists(st.sampled_from(earlier), max_size=2, unique=True))
        made.append(
            feature(
                f"thing-{number}",
                draw(st.sampled_from(sorted(KINDS))),
                leg=draw(st.sampled_from(["leg-1", "leg-2"])),
                clearance_mm=draw(st.sampled_from([None, Decimal(0), Decimal(0), Decimal(80)])),
                sill_mm=draw(st.sampled_from([None, Decimal(10), Decimal(200)])),
                touches=tuple(
                    Touch(id=each, clearance_mm=draw(st.sampled_from([None, Decimal(0)])))
                    for each in met
                ),
            )
        )
    return house(*made, legs=legs)


@settings(max_examples=400, deadline=None)
@given(plans())
def test_what_is_proposed_closes_the_ring_once_it_is_done(document: PlanDocument) -> None:
    assert problems(document) == []
    check = check_plan(document, OUTLOOK)
    closing = check.cheapest_closing
    assume(closing is not None)
    assert closing is not None

    after = carried_out(document, closing)

    assert problems(after) == []
    assert check_plan(after).closed
    assert check_plan(after).state == "closed"
    assert check.closed == (closing.details == ())
    for left_out in closing.details:
        but_one = Closing(tuple(each for each in closing.details if each is not left_out))
        assert not check_plan(carried_out(document, but_one)).closed


@settings(max_examples=200, deadline=None)
@given(plans())
def test_where_nothing_can_close_it_a_way_without_any_detail_is_named(
    document: PlanDocument,
) -> None:
    check = check_plan(document, OUTLOOK)

    for way in check.stands_in_the_way:
        assert check.cheapest_closing is None
        assert not any(contact.options for contact in way.contacts)


def test_the_state_tells_open_from_not_known() -> None:
    bare, unsure = leg(1, strip=""), leg(2, 8_000, strip_state="unknown")

    assert check_plan(house()).state == "closed"
    assert check_plan(house(legs=(bare, unsure))).state == "open"
    assert check_plan(house(legs=(unsure,))).state == "unknown"
    assert check_plan(replace(house(), walks=())).state == "unsound"
