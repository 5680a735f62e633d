"""A control chart: one value a brew as a dot, joined in order, with the mean and the limits as lines."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from brewery.kernel.drawing.scales import TICKS, bounds, figure, round_step

WIDTH, HEIGHT = 720, 260
LEFT, RIGHT, TOP, BOTTOM = 64, 124, 26, 44
DOT = 5


@dataclass(frozen=True)
class Line:
    """A level that is drawn across the chart, with its words."""

    value: float
    label: str
    kind: str


@dataclass(frozen=True)
class Chart:
    """What is drawn: values by label, in order; `compared` beside them; levels across. `kind` names CSS classes."""

    title: str
    unit: str
    labels: Sequence[str]
    values: Sequence[float | None]
    lines: Sequence[Line] = ()
    compared: Sequence[float | None] = ()
    outside: Sequence[bool] = ()
    things: str = "brews"


def draw(chart: Chart) -> str:
    """Return the chart as one `<svg>` element; a picture whose facts stand in the table beside it."""
    told = [
        value for value in (*chart.values, *chart.compared, *(line.value for line in chart.lines)) if value is not None
    ]
    low, high = bounds(told)
    scale = _Scale(low, high, len(chart.labels))
    parts = [
        *_axis(scale, chart.unit),
        *(_level(line, scale) for line in chart.lines),
        *_labels(chart.labels, scale),
        _path(chart.compared, scale, "compared"),
        *_dots(chart.compared, scale, "compared", ()),
        _path(chart.values, scale, "value"),
        *_dots(chart.values, scale, "value", chart.outside),
    ]
    name = escape(
        f"Chart of {chart.title} over {len(chart.labels)} {chart.things}; the table below has the figures", quote=True
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="chart" role="img" aria-label="{name}" '
        f'viewBox="0 0 {WIDTH} {HEIGHT}">{"".join(parts)}</svg>'
    )


class _Scale:
    """Where a value and a place lie on the drawing."""

    def __init__(self, low: float, high: float, count: int) -> None:
        self.low, self.high, self.count = low, high, count

    def x(self, place: int) -> float:
        step = (WIDTH - LEFT - RIGHT) / max(1, self.count - 1)
        return LEFT + place * step if self.count > 1 else (LEFT + WIDTH - RIGHT) / 2

    def y(self, value: float) -> float:
        return HEIGHT - BOTTOM - (value - self.low) / (self.high - self.low) * (HEIGHT - TOP - BOTTOM)


def _axis(scale: _Scale, unit: str) -> list[str]:
    parts = []
    step = round_step((scale.high - scale.low) / (TICKS + 1))
    for tick in range(round((scale.high - scale.low) / step) + 1):
        value = scale.low + step * tick
        if value > scale.high + step / 1000:
            break
        y = scale.y(value)
        parts.append(f'<line class="grid" x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y:.1f}" y2="{y:.1f}"/>')
        parts.append(f'<text class="tick" x="{LEFT - 8}" y="{y + 4:.1f}" text-anchor="end">{figure(value)}</text>')
    return [*parts, f'<text class="tick" x="{LEFT}" y="{TOP - 10}">{escape(unit)}</text>']


def _level(line: Line, scale: _Scale) -> str:
    y = scale.y(line.value)
    return (
        f'<line class="level {line.kind}" x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y:.1f}" y2="{y:.1f}"/>'
        f'<text class="level-label" x="{WIDTH - RIGHT + 10}" y="{y + 4:.1f}">'
        f"{escape(line.label)} {figure(line.value)}</text>"
    )


def _labels(labels: Sequence[str], scale: _Scale) -> list[str]:
    """Return the brews' codes below; of many, every so many."""
    every = max(1, -(-len(labels) // 10))
    return [
        f'<text class="tick" x="{scale.x(place):.1f}" y="{HEIGHT - BOTTOM + 20}" text-anchor="middle">'
        f"{escape(label)}</text>"
        for place, label in enumerate(labels)
        if place % every == 0
    ]


def _path(values: Sequence[float | None], scale: _Scale, kind: str) -> str:
    points = " ".join(
        f"{scale.x(place):.1f},{scale.y(value):.1f}" for place, value in enumerate(values) if value is not None
    )
    return f'<polyline class="path {kind}" points="{points}"/>' if points else ""


def _dots(values: Sequence[float | None], scale: _Scale, kind: str, outside: Sequence[bool]) -> list[str]:
    """Return the dots; one beyond the limits is a square, so that colour says nothing alone."""
    drawn = []
    for place, value in enumerate(values):
        if value is None:
            continue
        x, y = scale.x(place), scale.y(value)
        if place < len(outside) and outside[place]:
            drawn.append(
                f'<rect class="dot outside" x="{x - DOT - 1:.1f}" y="{y - DOT - 1:.1f}" '
                f'width="{2 * DOT + 2}" height="{2 * DOT + 2}"/>'
            )
        else:
            drawn.append(f'<circle class="dot {kind}" cx="{x:.1f}" cy="{y:.1f}" r="{DOT}"/>')
    return drawn
