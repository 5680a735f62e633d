"""A chart over time: one panel a property below the other on one axis of true time, with what happened marked across.

Dots are what was measured, a line is what is reckoned and the band round it what is believed; marks are numbered, and
the list beside the drawing says what each number is.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from html import escape

from brewery.kernel.drawing.scales import TICKS, bounds, moment_label, moments_between, round_step

WIDTH = 640
LEFT, RIGHT, TOP, BOTTOM = 46, 14, 34, 30
GAP = 30
DOT = 4


@dataclass(frozen=True)
class Point:
    """One value at a moment; `is_outside` where it lies beyond its limits."""

    at: datetime
    value: float
    is_outside: bool = False


@dataclass(frozen=True)
class Span:
    """Between which two values something lies at a moment."""

    at: datetime
    low: float
    high: float


@dataclass(frozen=True)
class Level:
    """A value that is aimed at from one moment to another."""

    since: datetime
    until: datetime
    value: float


@dataclass(frozen=True)
class Panel:
    """One property: its points, the curve through them with its band, and what is aimed at."""

    label: str
    unit: str
    height: int
    points: Sequence[Point] = ()
    curve: Sequence[Point] = ()
    band: Sequence[Span] = ()
    levels: Sequence[Level] = ()


@dataclass(frozen=True)
class Mark:
    """Something that happened or is expected, drawn across all panels under its number or letter."""

    at: datetime
    sign: str
    kind: str


@dataclass(frozen=True)
class TimeChart:
    """What is drawn, from one moment to another; ticks are by the time zone of `since`."""

    title: str
    since: datetime
    until: datetime
    panels: Sequence[Panel]
    marks: Sequence[Mark] = ()
    expected: tuple[datetime, datetime] | None = None


class TimeScale:
    """Where a moment lies on the drawing; what lies outside of the axis is drawn at its end."""

    def __init__(self, since: datetime, until: datetime) -> None:
        self.since, self.seconds = since, (until - since).total_seconds() or 1.0

    def x(self, moment: datetime) -> float:
        """Return the place from the left, in proportion to the time that has passed."""
        share = (moment - self.since).total_seconds() / self.seconds
        return LEFT + min(1.0, max(0.0, share)) * (WIDTH - LEFT - RIGHT)


class ValueScale:
    """Where a value lies in a panel that begins at `top`."""

    def __init__(self, panel: Panel, top: float) -> None:
        told = [point.value for point in (*panel.points, *panel.curve)] + [level.value for level in panel.levels]
        told += [end for span in panel.band for end in (span.low, span.high)]
        self.top, self.height = top, panel.height
        self.low, self.high = bounds(told)

    @property
    def foot(self) -> float:
        """Where the panel ends."""
        return self.top + self.height

    def y(self, value: float) -> float:
        """Return the place from above."""
        return self.foot - (value - self.low) / (self.high - self.low) * self.height


def draw(chart: TimeChart) -> str:
    """Return the chart as one `<svg>` element; a picture whose facts stand in words and rows beside it."""
    across = TimeScale(chart.since, chart.until)
    tops, top = [], float(TOP)
    for panel in chart.panels:
        tops.append(top)
        top += panel.height + GAP
    foot = top - GAP
    parts = [*_expected(chart, across, foot), *_time_axis(chart, across, foot)]
    for panel, begins in zip(chart.panels, tops, strict=True):
        parts += _panel(panel, ValueScale(panel, begins), across)
    parts += [part for mark in chart.marks for part in _mark(mark, across, foot)]
    name = escape(f"{chart.title}; words and a table beside it say the same", quote=True)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="chart time-chart" role="img" aria-label="{name}" '
        f'viewBox="0 0 {WIDTH} {foot + BOTTOM:.0f}">{"".join(parts)}</svg>'
    )


def _expected(chart: TimeChart, across: TimeScale, foot: float) -> list[str]:
    if chart.expected is None:
        return []
    left, right = (across.x(moment) for moment in chart.expected)
    return [
        f'<rect class="expected" x="{left:.1f}" y="{TOP}" width="{max(1.0, right - left):.1f}" '
        f'height="{foot - TOP:.1f}"/>'
    ]


def _time_axis(chart: TimeChart, across: TimeScale, foot: float) -> list[str]:
    parts = []
    for moment in moments_between(chart.since, chart.until):
        x, label = across.x(moment), moment_label(moment, chart.since, chart.until)
        parts.append(f'<line class="grid" x1="{x:.1f}" x2="{x:.1f}" y1="{TOP}" y2="{foot:.1f}"/>')
        parts.append(f'<text class="tick" x="{x:.1f}" y="{foot + 20:.1f}" text-anchor="middle">{label}</text>')
    return parts


def _panel(panel: Panel, scale: ValueScale, across: TimeScale) -> list[str]:
    words = escape(f"{panel.label}, {panel.unit}")
    return [
        *_value_axis(scale),
        f'<text class="panel-label" x="{LEFT + 5}" y="{scale.top - 6:.1f}">{words}</text>',
        _band(panel.band, scale, across),
        *(_level(level, scale, across) for level in panel.levels),
        _curve(panel.curve, scale, across),
        *(_dot(point, scale, across) for point in panel.points),
    ]


def _value_axis(scale: ValueScale) -> list[str]:
    parts, step = [], round_step((scale.high - scale.low) / TICKS)
    for tick in range(round((scale.high - scale.low) / step) + 1):
        value = scale.low + step * tick
        if value > scale.high + step / 1000:
            break
        y = scale.y(value)
        parts.append(f'<line class="grid" x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y:.1f}" y2="{y:.1f}"/>')
        parts.append(f'<text class="tick" x="{LEFT - 6}" y="{y + 4:.1f}" text-anchor="end">{value:.4g}</text>')
    return parts


def _band(band: Sequence[Span], scale: ValueScale, across: TimeScale) -> str:
    if not band:
        return ""
    above = [f"{across.x(one.at):.1f},{scale.y(one.high):.1f}" for one in band]
    below = [f"{across.x(one.at):.1f},{scale.y(one.low):.1f}" for one in reversed(band)]
    return f'<polygon class="band" points="{" ".join((*above, *below))}"/>'


def _curve(curve: Sequence[Point], scale: ValueScale, across: TimeScale) -> str:
    points = " ".join(f"{across.x(one.at):.1f},{scale.y(one.value):.1f}" for one in curve)
    return f'<polyline class="path" points="{points}"/>' if points else ""


def _level(level: Level, scale: ValueScale, across: TimeScale) -> str:
    y = scale.y(level.value)
    return (
        f'<line class="level limit" x1="{across.x(level.since):.1f}" x2="{across.x(level.until):.1f}" '
        f'y1="{y:.1f}" y2="{y:.1f}"/>'
    )


def _dot(point: Point, scale: ValueScale, across: TimeScale) -> str:
    """Return the dot; one beyond its limits is a square, so that colour says nothing alone."""
    x, y = across.x(point.at), scale.y(point.value)
    if point.is_outside:
        size = 2 * DOT + 2
        return f'<rect class="dot outside" x="{x - DOT - 1:.1f}" y="{y - DOT - 1:.1f}" width="{size}" height="{size}"/>'
    return f'<circle class="dot" cx="{x:.1f}" cy="{y:.1f}" r="{DOT}"/>'


def _mark(mark: Mark, across: TimeScale, foot: float) -> list[str]:
    x = across.x(mark.at)
    return [
        f'<line class="mark {mark.kind}" x1="{x:.1f}" x2="{x:.1f}" y1="{TOP - 18}" y2="{foot:.1f}"/>',
        f'<text class="mark-sign" x="{x:.1f}" y="{TOP - 21}" text-anchor="middle">{escape(mark.sign)}</text>',
    ]
