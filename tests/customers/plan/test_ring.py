"""Each rule of the ring check, one at a time; test_ring_exactly.py holds it against brute force."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from customers.plan.ring import Contact, check_ring, opens_on

SPRING = date(2026, 3, 1)


def words(contacts: list[Contact], on: date | None = None) -> list[str]:
    return [way.words for way in check_ring(contacts, on=on).ways_in]


def test_a_sound_strip_closes_the_ring() -> None:
    check = check_ring([Contact("ground", "building", "strip")])

    assert check.closed
    assert check.ways_in == ()
    assert check.more == 0
    assert check.cheapest_closing is not None
    assert check.cheapest_closing.details == ()
    assert check.cheapest_closing.cost == 0


@pytest.mark.parametrize("state", ["damaged", "unknown"])
def test_a_strip_that_is_not_sound_is_open(state: str) -> None:
    contact = Contact("ground", "building", "strip", state)

    assert not check_ring([contact]).closed


def test_what_is_unknown_is_named_as_such() -> None:
    contacts = [
        Contact("ground", "pipe", clearance_mm=20, state="unknown"),
        Contact("pipe", "building"),
    ]

    check = check_ring(contacts)

    assert check.unknown == (contacts[0],)
    assert check.ways_in[0].unknown == (contacts[0],)
    assert str(check.ways_in[0]) == "ground > pipe (not known) > building"


def test_what_is_open_speaks_for_what_is_unknown() -> None:
    unknown = Contact("ground", "building", "strip", "unknown")

    check = check_ring([unknown, Contact("building", "ground")])

    assert [way.words for way in check.ways_in] == ["ground > building"]
    assert check.unknown == (unknown,)


def test_a_clearance_above_zero_is_clear() -> None:
    assert check_ring([Contact("ground", "building", clearance_mm=Decimal("0.1"))]).closed
    assert not check_ring([Contact("ground", "building", clearance_mm=0)]).closed
    assert not check_ring([Contact("ground", "building", clearance_mm=-5)]).closed
    assert not check_ring([Contact("ground", "building", clearance_mm=float("nan"))]).closed


def test_a_bush_on_a_wall_on_the_house_is_a_way_in_of_two_steps() -> None:
    contacts = [
        Contact("ground", "building", "strip"),
        Contact("ground", "star jasmine on the gate wall"),
        Contact("star jasmine on the gate wall", "gate wall"),
        Contact("ground", "gate wall", "strip"),
        Contact("gate wall", "building"),
    ]

    assert words(contacts) == ["ground > star jasmine on the gate wall > gate wall > building"]


def test_ways_in_come_shortest_first_and_once() -> None:
    contacts = [
        Contact("ground", "shrub"),
        Contact("shrub", "wall"),
        Contact("wall", "shrub"),
        Contact("wall", "building"),
        Contact("ground", "wall"),
        Contact("ground", "building", place="leg 2"),
        Contact("ground", "building", place="leg 1"),
        Contact("ground", "building", place="leg 1"),
    ]

    assert words(contacts) == [
        "ground > building at leg 1",
        "ground > building at leg 2",
        "ground > wall > building",
        "ground > shrub > wall > building",
    ]


def test_no_way_in_passes_the_ground_twice() -> None:
    contacts = [
        Contact("ground", "step"),
        Contact("step", "planter"),
        Contact("ground", "planter", "strip"),
        Contact("planter", "building"),
    ]

    assert words(contacts) == ["ground > step > planter > building"]


def test_at_most_fifty_ways_are_listed_and_the_rest_counted() -> None:
    pipes = [f"pipe {number}" for number in range(62)]
    contacts = [
        contact
        for pipe in pipes
        for contact in (Contact("ground", pipe), Contact(pipe, "building"))
    ]

    check = check_ring(contacts)

    assert len(check.ways_in) == 50
    assert (check.more, check.more_is_exact) == (12, True)


def test_what_cannot_be_counted_is_said_to_be_at_least() -> None:
    surfaces = [f"vine {number}" for number in range(40)]
    contacts = [Contact("ground", surfaces[0]), Contact(surfaces[-1], "building")]
    contacts += [Contact(a, b) for a in surfaces for b in surfaces if a < b]

    check = check_ring(contacts)

    assert len(check.ways_in) == 50
    assert check.more > 0
    assert not check.more_is_exact


def test_the_cheapest_closing_takes_the_cheaper_end() -> None:
    contacts = [
        Contact("ground", "column", options=[("strip", Decimal("60.00"))]),
        Contact("column", "building", options=[("column-head band", 45), ("collar", 90)]),
    ]

    closing = check_ring(contacts).cheapest_closing

    assert closing is not None
    assert [(each.contact, each.detail) for each in closing.details] == [
        (contacts[1], "column-head band")
    ]
    assert closing.cost == 45


def test_a_trim_back_that_costs_nothing_is_proposed() -> None:
    contacts = [
        Contact("ground", "lantana"),
        Contact("lantana", "building", options=[("cut back", 0)]),
    ]

    closing = check_ring(contacts).cheapest_closing

    assert closing is not None
    assert [each.detail for each in closing.details] == ["cut back"]
    assert closing.cost == 0


def test_of_closings_that_cost_the_same_the_fewest_details_are_proposed() -> None:
    contacts = [
        Contact("ground", "wall", options=[("strip", 20)]),
        Contact("wall", "building", options=[("over-wall return", 10)], place="leg 1"),
        Contact("wall", "building", options=[("over-wall return", 10)], place="leg 2"),
    ]

    closing = check_ring(contacts).cheapest_closing

    assert closing is not None
    assert [each.detail for each in closing.details] == ["strip"]


def test_says_what_stands_in_the_way_where_nothing_can_close() -> None:
    contacts = [
        Contact("ground", "meter"),
        Contact("meter", "building", reason="Nothing is fixed to a gas meter."),
        Contact("ground", "pipe", options=[("collar", 30)]),
        Contact("pipe", "building"),
    ]

    check = check_ring(contacts)

    assert check.cheapest_closing is None
    assert [way.words for way in check.stands_in_the_way] == ["ground > meter > building"]


@pytest.mark.parametrize(
    "forbidden",
    [{"cut back"}, {("hedge", "wall", "cut back")}, {("wall", "hedge", "cut back")}],
    ids=["everywhere", "here", "here, the other way round"],
)
def test_what_is_forbidden_is_not_proposed(forbidden: set[str | tuple[str, str, str]]) -> None:
    contacts = [
        Contact("ground", "hedge"),
        Contact("hedge", "wall", options=[("cut back", 0)]),
        Contact("wall", "building", options=[("over-wall return", 80)]),
    ]

    closing = check_ring(contacts, forbidden=forbidden).cheapest_closing

    assert closing is not None
    assert [each.detail for each in closing.details] == ["over-wall return"]


@pytest.mark.parametrize(
    "contacts",
    [
        [],
        [Contact("pipe", "building", "collar")],
        [Contact("ground", "pipe", "collar")],
    ],
    ids=["nothing", "no ground", "no building"],
)
def test_is_never_closed_without_ground_and_building(contacts: list[Contact]) -> None:
    check = check_ring(contacts)

    assert not check.closed
    assert check.problems
    assert check.cheapest_closing is None
    assert opens_on(contacts, SPRING, SPRING) == SPRING


def test_is_never_closed_on_a_plan_with_problems() -> None:
    check = check_ring([Contact("ground", "building", "strip")], problems=["Leg 3 has no length."])

    assert not check.closed
    assert check.problems == ("Leg 3 has no length.",)
    assert check.cheapest_closing is None


def test_costs_are_exact_however_large_or_fine() -> None:
    large, fine = Decimal("98765432109876543210.01"), Decimal("0.0001")
    contacts = [
        Contact("ground", "wall", options=[("strip", large)]),
        Contact("wall", "building", options=[("over-wall return", large - fine)]),
        Contact("ground", "building", options=[("strip", fine)]),
    ]

    closing = check_ring(contacts).cheapest_closing

    assert closing is not None
    assert closing.cost == large
    assert [each.detail for each in closing.details] == ["over-wall return", "strip"]


@pytest.mark.parametrize("cost", [-1, float("nan"), float("inf"), Decimal("-0.01")])
def test_refuses_a_cost_that_is_none(cost: float | Decimal) -> None:
    with pytest.raises(ValueError, match="the cost of strip"):
        Contact("ground", "building", options=[("strip", cost)])


def test_refuses_an_unknown_state() -> None:
    with pytest.raises(ValueError, match="'fine' is none of"):
        Contact("ground", "building", "strip", "fine")


def test_a_contact_opens_on_its_day() -> None:
    contacts = [
        Contact("ground", "building", "strip"),
        Contact("ground", "lantana"),
        Contact("lantana", "building", clearance_mm=40, opens_on=SPRING),
    ]

    assert check_ring(contacts).closed
    assert check_ring(contacts, on=SPRING - timedelta(days=1)).closed
    assert words(contacts, on=SPRING) == ["ground > lantana > building"]
    assert not check_ring(contacts, on=SPRING + timedelta(days=400)).closed


def test_an_ageing_seal_and_an_announced_cable_open_on_their_days() -> None:
    seal = Contact("ground", "building", "strip", opens_on=SPRING)
    cable = Contact("ground", "new cable", opens_on=SPRING)

    assert [seal.status(), seal.status(SPRING)] == ["barred", "open"]
    assert [cable.status(), cable.status(SPRING)] == ["clear", "open"]


def test_a_damaged_detail_is_open_whatever_is_forecast() -> None:
    contact = Contact("ground", "building", "strip", "damaged", opens_on=SPRING)

    assert contact.status(SPRING - timedelta(days=9)) == "open"


def test_a_clearance_may_follow_the_day() -> None:
    def shrinking(on: date) -> float:
        return 10.0 - (on - SPRING).days

    contacts = [
        Contact("ground", "oleander"),
        Contact("oleander", "building", clearance_mm=shrinking),
    ]

    assert check_ring(contacts, on=SPRING).closed
    assert not check_ring(contacts, on=SPRING + timedelta(days=10)).closed
    assert opens_on(contacts, SPRING, date(2027, 1, 1)) == SPRING + timedelta(days=10)
    assert opens_on(contacts, SPRING, SPRING + timedelta(days=9)) is None
    with pytest.raises(ValueError, match="a day must be named"):
        check_ring(contacts)


def test_the_first_open_day_needs_all_of_a_path() -> None:
    later = SPRING + timedelta(days=60)
    contacts = [
        Contact("ground", "shrub"),
        Contact("shrub", "wall", clearance_mm=50, opens_on=SPRING),
        Contact("wall", "building", "over-wall return", opens_on=later),
    ]

    assert opens_on(contacts, date(2026, 1, 1), date(2027, 1, 1)) == later
    assert opens_on(contacts, later + timedelta(days=5), date(2027, 1, 1)) == later + timedelta(
        days=5
    )


def test_a_way_in_is_said_in_the_reader_s_language() -> None:
    spanish = {
        "ground": "suelo",
        "building": "casa",
        "{surface} at {place}": "{surface} en {place}",
        "{step} (not known)": "{step} (no se sabe)",
    }
    contacts = [
        Contact("ground", "fence"),
        Contact("fence", "building", "fence split", "unknown", place="leg {9}"),
    ]

    [way] = check_ring(contacts).ways_in

    assert way.words == "ground > fence > building at leg {9} (not known)"
    assert way.said(lambda text: spanish[text]) == "suelo > fence > casa en leg {9} (no se sabe)"
