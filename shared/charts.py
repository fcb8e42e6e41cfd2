"""Charts drawn on the server as SVG, the same on page and paper; the page shows the numbers too.

Colours are classes of the style sheet, so that the dark scheme and print have their own; each
series has a word of its own in the legend and a title on every bar.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple
from xml.sax.saxutils import escape, quoteattr

WIDTH, HEIGHT = 720, 260
LEFT, RIGHT, TOP, BOTTOM = 64, 12, 34, 34
SQUARE = 300  # the side of a chart of shares against shares


@dataclass(frozen=True, slots=True)
class Series:
    name: str
    values: Sequence[Decimal]


def nice_step(span: Decimal, steps: int = 4) -> Decimal:
    """The step of 1, 2 or 5 times a power of ten with at most `steps` steps in the span."""
    if span <= 0:
        return Decimal(1)
    raw = span / steps
    power = Decimal(10) ** raw.adjusted()
    return next(power * each for each in (1, 2, 5, 10) if power * each >= raw)


def stacked_bars(
    labels: Sequence[str], series: Sequence[Series], *, title: str, description: str
) -> str:
    """Return an SVG of stacked bars, a bar a label; values below zero hang under the line.

    Every series has as many values as there are labels. Raises ValueError where one has not.
    """
    if any(len(each.values) != len(labels) for each in series):
        raise ValueError("Each series needs one value a label.")
    heights = [[max(each.values[i], Decimal(0)) for each in series] for i in range(len(labels))]
    depths = [[min(each.values[i], Decimal(0)) for each in series] for i in range(len(labels))]
    top = max([sum(column, Decimal(0)) for column in heights], default=Decimal(0))
    low = min([sum(column, Decimal(0)) for column in depths], default=Decimal(0))
    scale = _Scale(low, top)
    parts = [*_axis(scale), *_legend(series)]
    for i, label in enumerate(labels):
        parts += _bar(i, len(labels), label, [(s.name, s.values[i]) for s in series], scale)
    head = f'class="chart" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" aria-label={quoteattr(title)}'
    words = f"<title>{escape(title)}</title><desc>{escape(description)}</desc>"
    return f"<svg {head}>{words}{''.join(parts)}</svg>"


class Point(NamedTuple):
    """A share found beside the share said, both 0 to 1, with the interval of the one found."""

    said: float
    found: float
    low: float
    high: float
    words: str


def against_the_line(points: Sequence[Point], *, title: str, across: str, up: str) -> str:
    """Return an SVG of what was found against what was said: on the line they are the same."""
    left, low = LEFT, TOP + SQUARE
    size = f"{left + SQUARE + RIGHT * 2} {low + BOTTOM + 14}"
    parts = [
        *_percent_grid(left, low),
        f'<line class="chart-zero" x1="{left}" y1="{low}" x2="{left + SQUARE}" y2="{TOP}"/>',
        _text(up, left, TOP - 14, "start"),
        _text(across, left + SQUARE, low + 38, "end"),
    ]
    for each in points:
        x, y = round(left + each.said * SQUARE, 1), round(low - each.found * SQUARE, 1)
        ends = f'y1="{low - each.low * SQUARE:.1f}" y2="{low - each.high * SQUARE:.1f}"'
        words = f"<title>{escape(each.words)}</title>"
        parts.append(f'<line class="chart-range" x1="{x}" x2="{x}" {ends}/>')
        parts.append(f'<circle class="chart-5" cx="{x}" cy="{y}" r="5">{words}</circle>')
    head = f'class="chart small" viewBox="0 0 {size}" role="img" aria-label={quoteattr(title)}'
    return f"<svg {head}><title>{escape(title)}</title>{''.join(parts)}</svg>"


def _percent_grid(left: int, low: int) -> Iterator[str]:
    for percent in range(0, 101, 25):
        by = SQUARE * percent // 100
        yield (
            f'<path class="chart-grid" d="M{left} {low - by}H{left + SQUARE}'
            f'M{left + by} {low}V{TOP}"/>'
        )
        yield _text(f"{percent}", left - 8, low - by + 4, "end")
        yield _text(f"{percent}", left + by, low + 18, "middle")


class _Scale:
    """From money to the picture's y, upwards; the ends are whole steps."""

    def __init__(self, low: Decimal, top: Decimal) -> None:
        self.step = nice_step(max(top - low, Decimal(1)))
        self.low = (low // self.step - (1 if low % self.step else 0)) * self.step
        self.top = max((top // self.step + (1 if top % self.step else 0)) * self.step, self.step)

    def y(self, value: Decimal) -> float:
        share = (value - self.low) / (self.top - self.low)
        return round(HEIGHT - BOTTOM - float(share) * (HEIGHT - TOP - BOTTOM), 1)

    def ticks(self) -> list[Decimal]:
        count = int((self.top - self.low) / self.step)
        return [self.low + self.step * i for i in range(count + 1)]


def _axis(scale: _Scale) -> list[str]:
    parts = []
    for tick in scale.ticks():
        y = scale.y(tick)
        kind = "chart-zero" if tick == 0 else "chart-grid"
        parts.append(f'<line class="{kind}" x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y}" y2="{y}"/>')
        parts.append(_text(f"{tick:,.0f}", LEFT - 8, y + 4, "end"))
    return parts


def _legend(series: Sequence[Series]) -> list[str]:
    parts, x = [], LEFT
    for i, each in enumerate(series, start=1):
        parts.append(f'<rect class="chart-{i}" x="{x}" y="8" width="12" height="12"/>')
        parts.append(_text(each.name, x + 18, 18, "start"))
        x += 34 + 8 * len(each.name)
    return parts


def _bar(
    index: int, count: int, label: str, values: Sequence[tuple[str, Decimal]], scale: _Scale
) -> list[str]:
    slot = (WIDTH - LEFT - RIGHT) / count
    x = round(LEFT + slot * index + slot * 0.15, 1)
    width = round(slot * 0.7, 1)
    parts, up, down = [], Decimal(0), Decimal(0)
    for i, (name, value) in enumerate(values, start=1):
        start = up if value >= 0 else down
        end = start + value
        up, down = (end, down) if value >= 0 else (up, end)
        y, bottom = sorted((scale.y(start), scale.y(end)))
        if bottom > y:
            box = f'x="{x}" y="{y}" width="{width}" height="{round(bottom - y, 1)}"'
            words = f"<title>{escape(f'{label}, {name}: {value:,.2f}')}</title>"
            parts.append(f'<rect class="chart-{i}" {box}>{words}</rect>')
    return [*parts, _text(label, round(x + width / 2, 1), HEIGHT - 12, "middle")]


def _text(text: str, x: float, y: float, anchor: str) -> str:
    return f'<text class="chart-text" x="{x}" y="{y}" text-anchor="{anchor}">{escape(text)}</text>'
