from dataclasses import replace
from decimal import Decimal

from customers.plan.compare import differences
from tests.customers.plan.houses import feature, fit, house, leg, touch


def test_nothing_changed_says_nothing() -> None:
    assert differences(house(), house()) == []


def test_says_what_is_new_and_what_is_gone() -> None:
    pipe, vine = feature("pipe-1", "pipe"), feature("plant-1", "plant on a wall", name="ivy")

    assert differences(house(pipe), house(vine)) == [
        "Pipe 1 is gone.",
        "Ivy (plant 1) is new.",
    ]


def test_says_lengths_as_a_tape_shows_them() -> None:
    before, after = house(), house(legs=(leg(1, "9144"),))

    assert differences(before, after) == ["Leg 1: length was 32' 9 11/16\", is 30' 0\"."]
    assert differences(before, replace(after, unit_hint="m")) == [
        "Leg 1: length was 10.000 m, is 9.144 m."
    ]


def test_says_what_was_fitted_and_how_plants_stand() -> None:
    pipe = feature("pipe-1", "pipe", name="drain")
    before = feature("plant-1", "plant on a wall", name="ivy", touches=(touch("leg-2", None),))
    after = replace(before, clearance_mm=Decimal("304.8"), touches=(touch("leg-2"),))

    assert differences(house(pipe, before), fit(house(pipe, after), {"pipe-1/foot": "collar"})) == [
        "Drain (pipe 1): at foot there was nothing, is a collar, sound.",
        "Ivy (plant 1): clearance was touching, is 1' 0\".",
        "Ivy (plant 1): clearance to leg 2 was not measured, is touching.",
    ]


def test_says_what_happened_to_strips_and_angles() -> None:
    changed = leg(1, strip_state="damaged", turn_deg=Decimal("-90.50"), inside_dry=True)

    assert differences(house(), house(legs=(changed,))) == [
        "Leg 1: turn was 90°, is -90.5°.",
        "Leg 1: state of the strip was sound, is damaged.",
        "Leg 1: inside a dry garage was no, is yes.",
    ]


def test_says_once_what_changed_alike_on_several_legs() -> None:
    bare = house(
        legs=tuple(replace(leg(n, mm), strip="") for n, mm in ((1, 10_000), (2, 8_000), (4, 8_000)))
    )
    spanish = {"Legs {numbers}": "Tramos {numbers}", "{first} to {last}": "{first} a {last}"}

    assert differences(bare, house()) == ["Legs 1 to 2, 4: strip was none, is glass."]
    assert differences(bare, house(), translate=lambda text: spanish.get(text, text)) == [
        "Tramos 1 a 2, 4: strip was none, is glass."
    ]
