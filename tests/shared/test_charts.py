from decimal import Decimal
from xml.etree import ElementTree as ET

import pytest

from shared.charts import HEIGHT, Point, Series, against_the_line, nice_step, stacked_bars


@pytest.mark.parametrize(
    ("span", "step"),
    [("7", "2"), ("4", "1"), ("4000", "1000"), ("4001", "2000"), ("0", "1"), ("0.4", "0.1")],
)
def test_steps_are_round(span: str, step: str) -> None:
    assert nice_step(Decimal(span)) == Decimal(step)


def test_bars_stack_and_losses_hang_below_the_line() -> None:
    svg = stacked_bars(
        ["Jan", "Feb & Mar"],
        [Series("margin", [Decimal(30), Decimal(-10)]), Series("cost", [Decimal(70), Decimal(60)])],
        title="x < y",
        description="d",
    )

    root = ET.fromstring(svg)  # noqa: S314  # our own text
    bars = {bar[0].text: bar for bar in root.iter("rect") if len(bar)}
    zero = next(
        float(line.attrib["y1"])
        for line in root.iter("line")
        if line.attrib["class"] == "chart-zero"
    )
    loss, gain = bars["Feb & Mar, margin: -10.00"], bars["Jan, margin: 30.00"]
    assert float(loss.attrib["y"]) == zero
    assert float(gain.attrib["y"]) + float(gain.attrib["height"]) == pytest.approx(zero, abs=0.2)
    assert all(0 <= float(bar.attrib["y"]) <= HEIGHT for bar in bars.values())
    assert float(gain.attrib["height"]) / float(loss.attrib["height"]) == pytest.approx(3, rel=0.02)


def test_refuses_a_series_that_does_not_fit() -> None:
    with pytest.raises(ValueError, match="one value a label"):
        stacked_bars(["Jan"], [Series("x", [])], title="t", description="d")


def test_draws_an_empty_year() -> None:
    assert "<svg" in stacked_bars([], [Series("x", [])], title="t", description="d")


def test_points_lie_on_the_line_where_what_was_said_came_true() -> None:
    right = Point(0.5, 0.5, 0.25, 0.75, "half & half")
    svg = against_the_line([right], title="t < u", across="said", up="found")

    root = ET.fromstring(svg)  # noqa: S314  # our own text
    lines = {line.attrib["class"]: line.attrib for line in root.iter("line")}
    diagonal, bar = lines["chart-zero"], lines["chart-range"]
    (dot,) = root.iter("circle")
    assert dot[0].text == "half & half"
    assert float(dot.attrib["cx"]) == (float(diagonal["x1"]) + float(diagonal["x2"])) / 2
    assert float(dot.attrib["cy"]) == (float(diagonal["y1"]) + float(diagonal["y2"])) / 2
    assert float(bar["y1"]) - float(bar["y2"]) == pytest.approx(
        (float(diagonal["y1"]) - float(diagonal["y2"])) / 2
    )
