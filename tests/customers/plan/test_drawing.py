"""The drawing: everything on the sheet, letters apart, the same text each time, harmless."""

import io
import math
from dataclasses import replace
from datetime import date
from decimal import Decimal
from xml.etree import ElementTree as ET

import ezdxf.filemanagement
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from customers.plan.contacts import Outlook, check_plan
from customers.plan.document import Feature, Fitted, Leg, PlanDocument, Walk
from customers.plan.drawing import (
    Drawing,
    PlantSize,
    TitleBlock,
    as_dxf,
    as_svg,
    draw,
    draw_within,
    in_language,
    in_words,
)
from customers.plan.drawing.scene import text_box
from customers.plan.drawing.shapes import Box, Circle, Line, Text
from customers.plan.features import KINDS

FOOT = Decimal("304.8")


def leg(number: int, feet: float, turn: int = 90, **fields: object) -> Leg:
    defaults: dict[str, object] = {"strip": "glass", "strip_state": "sound"}
    return Leg(
        id=f"leg-{number}",
        length_mm=Decimal(str(feet)) * FOOT,
        turn_deg=Decimal(turn),
        **{**defaults, **fields},  # type: ignore[arg-type]
    )


def house(*features: Feature) -> PlanDocument:
    """An L of 42 by 32 feet."""
    turns = (90, 90, -90, 90, 90, 90)
    legs = tuple(
        leg(n, feet, turn)
        for n, (feet, turn) in enumerate(zip((42, 18, 12, 14, 30, 32), turns, strict=True), start=1)
    )
    return PlanDocument(walks=(Walk(id="walk-1", name="House", legs=legs),), features=features)


def drawn(plan: PlanDocument, **fields: object) -> Drawing:
    drawing = draw(plan, **fields)  # type: ignore[arg-type]
    assert drawing is not None
    return drawing


def texts(drawing: Drawing) -> list[Text]:
    return [shape for shape in drawing.shapes if isinstance(shape, Text)]


def every_kind() -> tuple[Feature, ...]:
    return tuple(
        Feature(
            id=f"thing-{n}",
            kind=kind,
            name=kind,
            leg=f"leg-{n % 6 + 1}",
            at_mm=FOOT * (3 + n % 4 * 3),
            width_mm=Decimal(300),
            details={"house": Fitted(detail="collar", state="sound")},
        )
        for n, kind in enumerate(KINDS)
    )


def test_draws_each_leg_at_its_length() -> None:
    walls = [s for s in drawn(house()).shapes if isinstance(s, Line) and s.style == "wall"]

    corners = walls[0].points
    lengths = [
        math.dist(a, b) / 304.8 for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)
    ]
    assert [round(length, 6) for length in lengths] == [42, 18, 12, 14, 30, 32]


def test_writes_number_and_length_of_every_leg() -> None:
    said = {text.text for text in texts(drawn(house()))}

    assert {"1 · 42' 0\"", "6 · 32' 0\""} <= said
    assert "1 · 12.802 m" in {text.text for text in texts(drawn(house(), system="metric"))}


@pytest.mark.parametrize("features", [(), every_kind()], ids=["bare", "every kind of feature"])
def test_letters_keep_apart_and_on_the_sheet(features: tuple[Feature, ...]) -> None:
    drawing = drawn(house(*features))
    boxes = [(text.text, text_box(text)) for text in texts(drawing)]

    met = [
        (a, b)
        for i, (a, one) in enumerate(boxes)
        for b, other in boxes[i + 1 :]
        if one.meets(other)
    ]
    off = [a for a, box in boxes if box.left < drawing.box.left or box.right > drawing.box.right]
    assert met == []
    assert off == []


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(6, 60), min_size=2, max_size=2), st.integers(0, 12))
def test_letters_keep_apart_on_any_rectangle(feet: list[int], pipes: int) -> None:
    long, wide = feet
    legs = tuple(leg(n, each) for n, each in enumerate((long, wide, long, wide), start=1))
    features = tuple(
        Feature(id=f"pipe-{n}", kind="pipe", leg="leg-1", at_mm=FOOT * long * n / 13)
        for n in range(pipes)
    )
    plan = PlanDocument(walks=(Walk(id="walk-1", legs=legs),), features=features)

    boxes = [text_box(text) for text in texts(drawn(plan))]

    assert not any(a.meets(b) for i, a in enumerate(boxes) for b in boxes[i + 1 :])


def test_a_plant_stands_at_its_size_today_and_on_the_due_day() -> None:
    plant = Feature(
        id="plant-1",
        kind="plant on the ground",
        leg="leg-1",
        at_mm=FOOT * 20,
        width_mm=Decimal(900),
        clearance_mm=Decimal(300),
    )

    drawing = drawn(house(plant), plants={"plant-1": PlantSize(200, 50)})

    today = next(s for s in drawing.shapes if isinstance(s, Line) and s.style == "plant")
    due = next(s for s in drawing.shapes if isinstance(s, Circle) and s.style == "plant-due")
    assert Box.round(today.points).width == pytest.approx(900, rel=0.05)
    assert due.radius == pytest.approx(450 + 150)
    assert due.centre[1] == pytest.approx(-(450 + 200))  # below the wall that runs along y = 0


def test_a_way_in_is_an_arrow_that_ends_at_the_wall() -> None:
    plant = Feature(
        id="plant-1", kind="plant on the ground", leg="leg-1", at_mm=FOOT * 20, width_mm=FOOT * 3
    )
    plan = house(plant)
    check = check_plan(plan, Outlook(), on=date(2026, 3, 2))

    drawing = drawn(plan, check=check)

    arrow = next(s for s in drawing.shapes if isinstance(s, Line) and s.style == "way-in")
    assert not check.closed
    assert arrow.points[-1][0] == pytest.approx(20 * 304.8)
    assert abs(arrow.points[-1][1]) < 3 * drawing.unit


def test_indoor_strips_run_inside() -> None:
    plan = house()
    inner = Walk(
        id="walk-1", legs=(leg(1, 20, strip="aluminium"), leg(2, 20), leg(3, 20), leg(4, 20))
    )

    drawing = drawn(PlanDocument(walks=(inner,)))

    aluminium = next(s for s in drawing.shapes if isinstance(s, Line) and s.style == "aluminium")
    glass = next(s for s in drawn(plan).shapes if isinstance(s, Line) and s.style == "strip")
    assert all(y > 0 for _, y in aluminium.points)
    assert all(y < 0 for _, y in glass.points)


def test_the_svg_is_whole_harmless_and_the_same_each_time() -> None:
    naughty = "<script>alert('x')</script> & \"quotes\""
    plan = house(Feature(id="pipe-1", kind="pipe", name=naughty, leg="leg-2", at_mm=FOOT * 5))
    drawing = drawn(plan, title=TitleBlock(home=naughty))

    svg = as_svg(drawing, label=naughty, description=in_words(plan))

    root = ET.fromstring(svg)  # noqa: S314  # our own text
    assert root.attrib["aria-label"] == naughty
    assert not list(root.iter("{http://www.w3.org/2000/svg}script"))
    assert " style=" not in svg
    assert svg == as_svg(
        drawn(plan, title=TitleBlock(home=naughty)), label=naughty, description=in_words(plan)
    )


def test_the_key_and_the_legend_name_what_is_drawn() -> None:
    band = Feature(
        id="column-1",
        kind="column",
        name="porch column",
        leg="leg-1",
        at_mm=FOOT * 9,
        details={"house": Fitted(detail="column-head band", state="sound")},
    )

    svg = as_svg(drawn(house(band)), label="plan")

    assert "porch column, leg 1, column-head band" in svg
    assert ">column-head band<" in svg
    assert ">way in<" not in svg
    assert ">10 ft<" in svg


def test_dxf_is_read_back_with_the_same_lengths() -> None:
    text = as_dxf(drawn(house(*every_kind())))

    file = ezdxf.filemanagement.read(io.StringIO(text))
    walls = list(file.modelspace().query('LWPOLYLINE[layer=="wall"]'))
    assert not file.audit().errors
    points = [(x, y) for x, y, *_ in walls[0].get_points()]
    assert math.dist(points[0], points[1]) / 304.8 == pytest.approx(42)
    assert file.header["$INSUNITS"] == 4


def test_words_say_state_legs_and_features() -> None:
    plan = house(Feature(id="pipe-1", kind="pipe", name="hose bib", leg="leg-2", at_mm=FOOT))

    words = in_words(plan, check_plan(plan, Outlook()))

    assert words.startswith("The ring is open: ground > hose bib > building")
    assert "House: 6 legs, 148' 0\" round." in words
    assert "Leg 2: 18' 0\" of stucco, glass strip, sound. hose bib." in words


def test_nothing_is_drawn_of_an_empty_plan() -> None:
    assert draw(PlanDocument()) is None
    assert draw(PlanDocument(walks=(Walk(id="walk-1", legs=(leg(1, 0),)),))) is None


SPANISH = {"May": "Mayo", "open": "abierto", "gate": "portón", "plant on a wall": "planta en muro"}


@pytest.mark.parametrize("name", ["May", "open", "gate"])
def test_names_that_people_gave_are_left_whole_in_every_language(name: str) -> None:
    plan = house(Feature(id="plant-1", kind="plant on a wall", name=name, leg="leg-1", at_mm=FOOT))

    line = drawn(plan).key[0]

    said = line.said(lambda text: SPANISH.get(text, text))
    assert said.startswith(f"{name}, planta en muro, ")


@pytest.mark.parametrize(
    ("place", "said"),
    [("May", "May"), ("open", "open"), ("gate > May", "portón > May"), ("", "")],
)
def test_only_the_plans_own_words_are_translated(place: str, said: str) -> None:
    assert in_language(place, lambda text: SPANISH.get(text, text)) == said


def with_garage() -> PlanDocument:
    plan = house(*every_kind())
    legs = tuple(leg(n, 22) for n in range(7, 11))
    return replace(plan, walks=(*plan.walks, Walk(id="walk-2", name="Garage", legs=legs)))


@pytest.mark.parametrize(("width", "height"), [(820, 480), (820, 330), (640, 900)])
def test_a_drawing_is_as_large_as_its_frame_lets_it_and_its_letters_stay(
    width: float, height: float
) -> None:
    drawing = draw_within(with_garage(), width, height)

    assert drawing is not None
    wide, high = drawing.box.width / drawing.unit, drawing.box.height / drawing.unit
    assert 0.9 < max(wide / width, high / height) <= 1
    assert {round(text.height / drawing.unit, 3) for text in texts(drawing)} == {15}


def test_buildings_stand_so_far_apart_that_both_can_be_written_at() -> None:
    two = replace(with_garage(), features=())

    boxes = [text_box(text) for text in texts(drawn(two, unit=100.0))]

    assert not any(a.meets(b) for i, a in enumerate(boxes) for b in boxes[i + 1 :])


def test_a_legend_alone_names_the_marks_and_no_feature() -> None:
    pipe = Feature(
        id="pipe-1", kind="pipe", name="hose bib", leg="leg-1", at_mm=FOOT * 9,
        details={"house": Fitted(detail="collar", state="sound")},
    )  # fmt: skip
    drawing = drawn(house(pipe))

    legend, whole, bare = (
        as_svg(drawing, label="plan", foot=foot) for foot in ("legend", "all", "none")
    )

    assert "glass strip</text>" in legend
    assert ">collar</text>" in legend
    assert "hose bib" in whole
    assert "hose bib" not in legend
    assert "glass strip" not in bare
