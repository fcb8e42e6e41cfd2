"""The facts of the trade, played on plans: each is common practice unless a source is named."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from customers.plan.contacts import Outlook, check_plan, contacts, surface_names
from customers.plan.document import Feature, PlanDocument, Walk
from customers.plan.features import KINDS
from customers.plan.problems import cautions, needs_riser, problems
from customers.plan.ring import RingCheck
from tests.customers.plan.houses import PRICES, feature, fit, house, leg, touch

OUTLOOK = Outlook(prices=PRICES)
SPRING = date(2026, 3, 1)


def proposal(document: PlanDocument, outlook: Outlook = OUTLOOK) -> dict[str, str]:
    closing = check_plan(document, outlook).cheapest_closing
    assert closing is not None
    return {each.contact.ref: each.detail for each in closing.details}


def cost(document: PlanDocument) -> Decimal:
    closing = check_plan(document, OUTLOOK).cheapest_closing
    assert closing is not None
    return closing.cost


def words(check: RingCheck) -> list[str]:
    return [way.words for way in check.ways_in]


def test_a_house_with_its_strips_is_closed() -> None:
    assert problems(house()) == []
    assert check_plan(house()).closed


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_opens_the_ring_and_its_proposal_closes_it(kind: str) -> None:
    leg_in_garage = leg(1, strip="aluminium", inside_dry=True)
    document = house(feature("thing-1", kind), legs=(leg_in_garage,))
    assert problems(document) == []

    check = check_plan(document, OUTLOOK)

    assert not check.closed
    if KINDS[kind].is_plant:
        assert proposal(document) == {"thing-1/house": "cut back"}
        cut = replace(document.features[0], clearance_mm=Decimal(300))
        assert check_plan(replace(document, features=(cut,))).closed
    else:
        proposed = fit(document, proposal(document))
        assert problems(proposed) == []
        assert check_plan(proposed).closed


def test_a_leg_without_a_strip_or_with_a_damaged_joint_is_open() -> None:
    bare = house(legs=(leg(2, 8_000, strip=""),))
    damaged = house(legs=(leg(3, strip_state="damaged"),))

    assert words(check_plan(bare)) == ["ground > building at leg 2"]
    assert words(check_plan(damaged)) == ["ground > building at leg 3"]
    assert proposal(bare) == {"leg-2": "strip"}
    assert cost(bare) == Decimal("240.00")


def test_a_strip_of_unknown_state_is_open_and_named() -> None:
    check = check_plan(house(legs=(leg(3, strip_state="unknown"),)))

    assert words(check) == ["ground > building at leg 3 (not known)"]
    assert [each.ref for each in check.unknown] == ["leg-3"]


def columns(**changes: object) -> tuple[Feature, ...]:
    return tuple(feature(f"column-{number}", "column", **changes) for number in range(1, 5))


def test_four_columns_that_stay_clean_at_the_foot_take_four_head_bands() -> None:
    document = house(*columns(refused=("strip",)))

    proposed = proposal(document)

    assert proposed == {f"column-{number}/house": "column-head band" for number in range(1, 5)}
    assert check_plan(fit(document, proposed)).closed


def test_a_column_takes_the_cheaper_end() -> None:
    slim, stout = (house(*columns(width_mm=Decimal(width))) for width in (300, 600))

    assert set(proposal(slim).values()) == {"strip"}
    assert set(proposal(stout).values()) == {"column-head band"}


def wall_with_shrubs(*, shrubs: bool) -> PlanDocument:
    wall = feature("wall-1", "garden wall", name="gate wall", width_mm=Decimal(200))
    hedge = feature(
        "plant-1",
        "plant on a wall",
        name="star jasmine on the gate wall",
        clearance_mm=Decimal(900),
        touches=(touch("wall-1"),),
        refused=("cut back",),
    )
    return house(wall, *([hedge] if shrubs else []))


def test_shrubs_that_may_not_be_removed_take_an_over_wall_return() -> None:
    document = wall_with_shrubs(shrubs=True)

    assert "ground > star jasmine on the gate wall > gate wall > building" in words(
        check_plan(document)
    )
    assert proposal(document) == {"wall-1/house": "over-wall return"}


def test_the_same_wall_without_shrubs_takes_the_strip_round_its_foot() -> None:
    document = wall_with_shrubs(shrubs=False)

    assert proposal(document) == {"wall-1/foot": "strip"}
    assert cost(document) == Decimal("66.00")  # 2 × 1.0 m + 0.2 m at 30.00


def test_a_plant_that_touches_is_a_way_in_however_sound_the_strip() -> None:
    document = house(feature("plant-1", "plant on the ground", name="lantana"))

    assert words(check_plan(document)) == ["ground > lantana > building"]
    assert proposal(document) == {"plant-1/house": "cut back"}


def test_a_plant_that_nobody_measured_counts_as_touching() -> None:
    document = house(
        feature("plant-1", "plant on the ground", clearance_mm=None),
        feature("plant-2", "plant on the ground", touches=(touch("leg-2", None),)),
    )

    unknown = check_plan(document).unknown

    assert [contact.ref for contact in unknown] == ["plant-1/house", "plant-2/leg-2"]


def test_a_fence_or_gate_takes_one_return_a_side() -> None:
    assert cost(house(feature("fence-1", "fence"))) == Decimal("110.00")
    assert cost(house(feature("gate-1", "gate"))) == Decimal("110.00")


def test_every_line_takes_a_collar_the_television_cable_too() -> None:
    document = house(
        feature("pipe-1", "pipe"),
        feature("pipe-2", "pipe"),
        feature("wire-1", "wire", name="television cable"),
        feature("riser-1", "meter riser"),
    )

    assert sorted(proposal(document).values()) == ["collar"] * 4


def test_a_conduit_takes_a_collar_of_ptfe_on_aluminium() -> None:
    assert set(proposal(house(feature("conduit-1", "conduit"))).values()) == {"backed collar"}


def test_the_gas_riser_is_shown_with_its_caution() -> None:
    [caution] = cautions(house(feature("riser-1", "meter riser")))

    assert "Nothing is fixed to a gas meter" in caution.text
    assert caution.source == "49 CFR 192.353(a) and 192.355(b)"


def test_aluminium_is_offered_only_where_it_stays_dry_and_costs_less_there() -> None:
    outdoors = house(legs=(leg(1, strip=""),))
    indoors = house(legs=(leg(1, strip="", inside_dry=True),))

    assert proposal(outdoors) == {"leg-1": "strip"}
    assert proposal(indoors) == {"leg-1": "aluminium strip"}
    assert cost(indoors) < cost(outdoors)


def test_raw_aluminium_outdoors_is_refused_with_both_reasons() -> None:
    document = house(legs=(leg(1, strip="aluminium"),))

    [problem] = problems(document)

    assert (problem.where, problem.field) == ("leg-1", "strip")
    assert "corrodes" in problem.message
    assert "community" in problem.message
    assert not check_plan(document).closed


@pytest.mark.parametrize(
    ("sill_mm", "detail", "total"),
    [
        (None, "sill riser", "162.00"),
        (Decimal(10), "sill riser", "162.00"),
        (Decimal(150), "strip", "27.00"),
    ],
)
def test_a_low_sill_takes_a_riser_and_a_high_one_the_strip(
    sill_mm: Decimal | None, detail: str, total: str
) -> None:
    door = feature("door-1", "door", width_mm=Decimal(900), sill_mm=sill_mm)

    assert proposal(house(door)) == {"door-1/sill": detail}
    assert cost(house(door)) == Decimal(total)
    assert needs_riser(door) == (detail == "sill riser")
    assert words(check_plan(house(door))) == ["ground > building at door 1"]


def test_the_strip_of_a_leg_is_not_priced_across_its_doorways() -> None:
    door = feature("door-1", "door", width_mm=Decimal(1000), sill_mm=Decimal(200))

    assert cost(house(door, legs=(leg(1, strip=""),))) == Decimal("300.00")


def test_a_detail_without_a_price_is_not_offered() -> None:
    check = check_plan(house(feature("pipe-1", "pipe")), Outlook(prices={"strip": Decimal(1)}))

    assert check.cheapest_closing is None
    assert [way.words for way in check.stands_in_the_way] == ["ground > pipe 1 > building"]


def test_a_cut_back_does_not_stand_as_a_detail() -> None:
    document = fit(house(feature("plant-1", "plant on the ground")), {"plant-1/house": "cut back"})

    assert [problem.field for problem in problems(document)] == ["details"]
    assert words(check_plan(document)) == ["ground > plant 1 > building"]


def test_growth_forecast_age_and_announcements_come_from_outside() -> None:
    document = house(
        feature("plant-1", "plant on the ground", name="oleander", clearance_mm=Decimal(300)),
        feature("plant-2", "plant on the ground", name="sage", clearance_mm=Decimal(300)),
    )
    outlook = Outlook(
        clearances={"plant-2/house": lambda on: 90 - (on - SPRING).days},
        opens={"plant-1/house": SPRING, "leg-4": date(2030, 1, 1)},
    )

    assert check_plan(document, outlook, on=date(2026, 2, 1)).closed
    assert words(check_plan(document, outlook, on=SPRING)) == ["ground > oleander > building"]
    assert words(check_plan(document, outlook, on=date(2026, 8, 1))) == [
        "ground > oleander > building",
        "ground > sage > building",
    ]
    assert "ground > building at leg 4" in words(check_plan(document, outlook, on=date(2030, 1, 1)))


def test_an_outbuilding_matters_only_where_something_joins_it_to_the_house() -> None:
    shed = Walk(
        id="walk-2",
        name="shed",
        kind="outbuilding",
        legs=tuple(leg(number, 3_000, strip="") for number in range(5, 9)),
    )
    alone = replace(house(), walks=(*house().walks, shed))
    cable = feature("wire-1", "wire", name="cable", touches=(touch("leg-5"),))

    assert check_plan(alone).closed
    assert "ground > shed at leg 5 > cable at leg 5 > building" in words(
        check_plan(replace(alone, features=(cable,)))
    )


def test_what_touches_a_door_touches_the_building_there() -> None:
    door = feature("door-1", "door", sill_mm=Decimal(200))
    vine = feature(
        "plant-1", "plant on a wall", clearance_mm=Decimal(500), touches=(touch("door-1"),)
    )

    check = check_plan(fit(house(door, vine), {"door-1/sill": "strip"}))

    assert words(check) == ["ground > plant 1 > building at door 1"]


def test_names_stay_apart() -> None:
    document = house(
        feature("pipe-1", "pipe", name="drain"),
        feature("pipe-2", "pipe", name="drain"),
        feature("pipe-3", "pipe", name=""),
        feature("pipe-4", "pipe", name="ground"),
    )

    assert surface_names(document) == {
        "pipe-1": "drain (pipe-1)",
        "pipe-2": "drain (pipe-2)",
        "pipe-3": "pipe 3",
        "pipe-4": "ground (pipe-4)",
    }
    assert len({contact.ref for contact in contacts(document)}) == len(contacts(document))


def test_a_kind_nobody_knows_never_closes_the_ring() -> None:
    check = check_plan(house(feature("thing-1", "trellis")))

    assert not check.closed
    assert check.problems == ("Thing 1: nobody knows the kind 'trellis'.",)


def test_a_garage_takes_aluminium_only_where_it_stays_dry() -> None:
    door = feature("door-1", "garage door", width_mm=Decimal(2_400), out_mm=Decimal(100))

    assert proposal(house(door)) == {"door-1/sill": "sill riser"}
    assert proposal(house(door, legs=(leg(1, inside_dry=True),))) == {
        "door-1/sill": "aluminium strip"
    }


@pytest.mark.parametrize("names", ["pipe-1", "plant-1"])
def test_a_plant_is_cut_back_from_a_pipe_whichever_of_them_names_the_other(names: str) -> None:
    pipe = feature("pipe-1", "pipe", touches=(touch("plant-1"),) if names == "pipe-1" else ())
    vine = feature(
        "plant-1",
        "plant on a wall",
        clearance_mm=Decimal(300),
        touches=(touch("pipe-1"),) if names == "plant-1" else (),
    )

    refs = {"pipe-1/plant-1", "plant-1/pipe-1"}
    [met] = [each for each in contacts(house(pipe, vine), OUTLOOK) if each.ref in refs]

    assert {met.a, met.b} == {"pipe 1", "plant 1"}
    assert met.options == (("cut back", Decimal("0.00")),)
