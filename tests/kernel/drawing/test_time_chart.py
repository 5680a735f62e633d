"""The drawing over time: true to time and value, whatever the readings; what is beyond limits is another shape."""

import xml.etree.ElementTree as ET
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.kernel.drawing.scales import MOST_MOMENTS, moments_between
from brewery.kernel.drawing.time_chart import LEFT, RIGHT, WIDTH, Level, Mark, Panel, Point, Span, TimeChart, draw

START = datetime(2026, 3, 2, 8, tzinfo=UTC)
SVG = "{http://www.w3.org/2000/svg}"


def hours(count: float) -> datetime:
    return START + timedelta(hours=count)


def drawn(*panels: Panel, until: float = 100, **more) -> ET.Element:
    return ET.fromstring(draw(TimeChart("Tank <1>", START, hours(until), panels, **more)))  # noqa: S314


def dots(svg: ET.Element) -> list[tuple[float, float]]:
    return [(float(one.attrib["cx"]), float(one.attrib["cy"])) for one in svg.iter(f"{SVG}circle")]


def test_twice_the_time_is_twice_as_far():
    svg = drawn(Panel("Gravity", "°P", 200, [Point(hours(at), 10) for at in (0, 10, 30, 100)]))
    xs = [x - LEFT for x, _ in dots(svg)]
    width = WIDTH - LEFT - RIGHT
    assert xs == pytest.approx([0, width / 10, width * 0.3, width], abs=0.1)


@given(st.lists(st.tuples(st.floats(0, 100), st.floats(-3, 40)), min_size=2, max_size=20))
def test_what_is_higher_is_drawn_higher_and_all_lies_on_the_drawing(read: list[tuple[float, float]]):
    svg = drawn(Panel("Gravity", "°P", 200, [Point(hours(at), value) for at, value in read]))
    _, _, width, height = (float(one) for one in svg.attrib["viewBox"].split())
    places = dots(svg)
    assert all(0 <= x <= width and 0 <= y <= height for x, y in places)
    by_value = [y for _, (_, y) in sorted(zip([value for _, value in read], places, strict=True))]
    assert all(low >= high - 0.11 for low, high in pairwise(by_value))


def test_panels_lie_below_each_other_and_share_the_axis_of_time():
    gravity = Panel("Gravity", "°P", 200, [Point(hours(50), 5)])
    warmth = Panel("Temperature", "°C", 100, [Point(hours(50), 9)])
    (upper, lower) = dots(drawn(gravity, warmth))
    assert upper[0] == lower[0]
    assert upper[1] < lower[1]


def test_the_band_lies_round_the_curve_and_a_value_beyond_limits_is_a_square():
    panel = Panel(
        "Gravity",
        "°P",
        200,
        [Point(hours(1), 12), Point(hours(2), 20, is_outside=True)],
        curve=[Point(hours(at), 10 - at) for at in (0, 5)],
        band=[Span(hours(at), 9 - at, 11 - at) for at in (0, 5)],
        levels=[Level(hours(0), hours(50), 2.5)],
    )
    svg = drawn(panel, marks=[Mark(hours(3), "1", "addition")], expected=(hours(60), hours(70)))
    (curve,) = [_points(one) for one in svg.iter(f"{SVG}polyline")]
    (band,) = [_points(one) for one in svg.iter(f"{SVG}polygon")]
    above, below = band[:2], band[:1:-1]
    assert all(high[1] < at[1] < low[1] for high, at, low in zip(above, curve, below, strict=True))
    assert len(dots(svg)) == 1
    assert {one.attrib["class"] for one in svg.iter(f"{SVG}rect")} == {"dot outside", "expected"}


def _points(element: ET.Element) -> list[tuple[float, float]]:
    return [tuple(float(one) for one in pair.split(",")) for pair in element.attrib["points"].split()]  # type: ignore[misc]


@given(st.floats(0.2, 24 * 4000))
def test_an_axis_of_any_length_has_a_few_round_moments(span: float):
    zone = ZoneInfo("Europe/Berlin")
    since = datetime(2026, 3, 27, 8, 17, tzinfo=zone)
    until = since + timedelta(hours=span)
    found = moments_between(since, until)
    assert len(found) <= MOST_MOMENTS
    assert all(since <= one <= until and one.minute == 0 for one in found)
    if span >= 24 * 8:
        assert len(found) >= 2
        assert {one.hour for one in found} == {0}
