"""A fermentation as pages show it: drawn over time, told in sentences, and the same in rows."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.safestring import SafeString, mark_safe

from brewery.kernel.clock import brewery_zone
from brewery.kernel.drawing.time_chart import Level, Mark, Panel, Point, Span, TimeChart, draw
from brewery.kernel.templatetags.shell import moment_text
from brewery.production.models import TankReading
from brewery.production.queries.fermentations import Fermentation
from brewery.production.queries.tank_limits import ShownReading, shown_readings
from brewery.production.queries.tank_readings import figure_of
from brewery.science.tank_readings import READINGS

GRAVITY, TEMPERATURE = TankReading.Property.GRAVITY, TankReading.Property.TEMPERATURE
HEIGHTS = {GRAVITY: 210, TEMPERATURE: 120}
MOST_DOTS = 300
CURVE_POINTS = 60
END = "E"
LOOKS_AHEAD = timedelta(days=14)
LEAST_SPAN = timedelta(hours=24)


@dataclass(frozen=True)
class Noted:
    """What a number in the drawing stands for."""

    sign: str
    at: datetime
    words: str


@dataclass(frozen=True)
class DrawnFermentation:
    """The drawing, sentences that say what it shows, what its numbers are, and its dots as rows, the last first."""

    svg: SafeString
    says: Sequence[str]
    noted: Sequence[Noted]
    rows: Sequence[ShownReading]


def drawn(told: Fermentation) -> DrawnFermentation | None:
    """Return the fermentation drawn, or None where neither gravity nor temperature was ever read."""
    read = [one for one in told.readings if one.property in HEIGHTS]
    if not read:
        return None
    shown = [one for property in HEIGHTS for one in _thinned(read, property)]
    since, until = _from_to(told, read)
    noted = _noted(told)
    marks = [Mark(one.at, one.sign, "addition") for one in noted]
    ends = None if told.has_ended else told.ends_at
    if ends:
        marks.append(Mark(ends[0], END, "end"))
    chart = TimeChart(
        f"Gravity and temperature in {told.vessel.name}",
        since,
        until,
        [panel for panel in (_gravity(told, shown, since, until), _temperature(told, shown, until)) if panel.points],
        [mark for mark in marks if mark.at <= until],
        (ends[1], ends[2]) if ends and ends[1] <= until else None,
    )
    rows = sorted(shown, key=lambda one: (one.reading.happened_at, one.reading.pk), reverse=True)
    # What is drawn is numbers of ours and words that the drawing has escaped.
    return DrawnFermentation(mark_safe(draw(chart)), tuple(_sentences(told)), noted, rows)  # noqa: S308


def _thinned(read: Sequence[TankReading], property: str) -> list[ShownReading]:
    """Return the readings of a property; of a logger's many every so many, and all beyond their limits."""
    shown = shown_readings([one for one in read if one.property == property])
    every = -(-len(shown) // MOST_DOTS)
    return [one for place, one in enumerate(reversed(shown)) if one.outside or place % every == 0][::-1]


def _from_to(told: Fermentation, read: Sequence[TankReading]) -> tuple[datetime, datetime]:
    """Return the ends of the axis, by the brewery's clock: all that was read and added, and the end near at hand."""
    last = read[-1].happened_at
    moments = [read[0].happened_at, last, *(one.happened_at for one in told.additions)]
    moments += [told.began_at] if told.began_at else []
    if told.ends_at and not told.has_ended:
        moments.append(min(told.ends_at[0], last + LOOKS_AHEAD))
    since, until = min(moments), max(moments)
    return since.astimezone(brewery_zone()), max(until, since + LEAST_SPAN).astimezone(brewery_zone())


def _noted(told: Fermentation) -> list[Noted]:
    """Return what was added, numbered; what went in at one moment bears one number."""
    at_once: dict[datetime, list[str]] = {}
    for one in told.additions:
        at_once.setdefault(one.happened_at, []).append(one.words)
    return [Noted(str(number), at, ", ".join(words)) for number, (at, words) in enumerate(at_once.items(), 1)]


def _points(shown: Sequence[ShownReading], property: str) -> list[Point]:
    return [
        Point(one.reading.happened_at, figure_of(one.reading), bool(one.outside))
        for one in shown
        if one.reading.property == property
    ]


def _gravity(told: Fermentation, shown: Sequence[ShownReading], since: datetime, until: datetime) -> Panel:
    curve, band = [], []
    if told.fit and told.began_at:
        begins = max(since, told.began_at)
        for step in range(CURVE_POINTS + 1):
            at = begins + (until - begins) * step / CURVE_POINTS
            hours = told.hours_at(at)
            curve.append(Point(at, told.fit.curve.plato_at(hours)))
            band.append(Span(at, *told.fit.band_at(hours)))
    levels = [] if told.aim_plato is None else [Level(since, until, told.aim_plato)]
    return Panel("Gravity", "°P", HEIGHTS[GRAVITY], _points(shown, GRAVITY), curve, band, levels)


def _temperature(told: Fermentation, shown: Sequence[ShownReading], until: datetime) -> Panel:
    return Panel(
        "Temperature", "°C", HEIGHTS[TEMPERATURE], _points(shown, TEMPERATURE), levels=list(_stretches(told, until))
    )


def _stretches(told: Fermentation, until: datetime) -> Iterator[Level]:
    """Yield the temperatures of the sheet as levels; the last goes on."""
    if told.pitched_at is None:
        return
    begins, stretches = told.pitched_at, told.stretches
    for stretch in stretches:
        if begins >= until:
            return
        ends = until if stretch is stretches[-1] else min(until, begins + timedelta(days=stretch.days))
        yield Level(begins, ends, stretch.temperature_c)
        begins = ends


def _sentences(told: Fermentation) -> Iterator[str]:
    for property in HEIGHTS:
        rows = [one for one in told.readings if one.property == property]
        if rows:
            measured, last = READINGS[property], rows[-1]
            many = f", read {len(rows)} times" if len(rows) > 1 else ""
            yield (
                f"{measured.label}{many}: {figure_of(last):.4g} {measured.unit} on {moment_text(last.happened_at)}"
                + (f", {figure_of(rows[0]):.4g} at first." if len(rows) > 1 else ".")
            )
    if told.aim_plato is not None:
        yield f"The sheet wants it to end at {told.aim_plato:.3g} °P."
    if told.fit is None:
        yield told.missing
    else:
        final = told.fit.final
        yield f"By the curve it ends at {final.value:.2f} °P, between {final.low:.2f} and {final.high:.2f}."
    if told.ends_at and not told.has_ended:
        best, earliest, latest = (moment_text(one) for one in told.ends_at)
        yield f"It is expected to be within 0.1 °P of that on {best}, between {earliest} and {latest}."
