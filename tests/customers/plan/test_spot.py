"""The small picture of one feature: its disc stands outside the wall that it names."""

from decimal import Decimal
from io import BytesIO

import pytest
from PIL import Image

from customers.plan.document import PlanDocument
from customers.plan.drawing import spot
from tests.customers.plan.houses import feature, house

SAGE = (0x3F, 0x62, 0x34)


def plan(leg: str) -> PlanDocument:
    door = feature("door-1", "door", leg="leg-1")
    return house(door, feature("plant-1", "plant on the ground", leg=leg, clearance_mm=Decimal(0)))


def disc(png: bytes) -> tuple[float, float]:
    """Where the middle of what is green lies, as shares of width and height."""
    image = Image.open(BytesIO(png)).convert("RGB").reduce(4)
    green = [
        (x, y)
        for y in range(image.height)
        for x in range(image.width)
        if max(abs(a - b) for a, b in zip(image.getpixel((x, y)), SAGE, strict=True)) < 12  # type: ignore[arg-type]
    ]
    xs, ys = zip(*green, strict=True)
    return sum(xs) / len(xs) / image.width, sum(ys) / len(ys) / image.height


@pytest.mark.parametrize(
    ("leg", "across", "down"),
    [
        ("leg-1", (0.2, 0.5), (0.8, 1.0)),
        ("leg-2", (0.8, 1.0), (0.5, 0.9)),
        ("leg-3", (0.5, 0.8), (0.0, 0.2)),
        ("leg-4", (0.0, 0.2), (0.1, 0.5)),
    ],
)
def test_the_disc_stands_outside_its_wall(
    leg: str, across: tuple[float, float], down: tuple[float, float]
) -> None:
    png = spot(plan(leg), "plant-1")
    assert png is not None

    x, y = disc(png)

    assert across[0] < x < across[1]
    assert down[0] < y < down[1]


def test_is_small_and_the_same_each_time() -> None:
    png = spot(plan("leg-2"), "plant-1")

    assert png == spot(plan("leg-2"), "plant-1")
    assert png is not None
    assert len(png) < 15_000


def test_shows_nothing_that_the_plan_does_not_have() -> None:
    assert spot(plan("leg-2"), "plant-2") is None
    assert spot(plan("leg-9"), "plant-1") is None
    assert spot(PlanDocument(walks=()), "plant-1") is None
