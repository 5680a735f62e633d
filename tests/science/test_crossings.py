"""When things reach their limits, many at once, against a walk through each history by itself."""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.crossings import DAY_MS, FAR_MS, NEVER, Clock, Legs, Warmths, crossings
from brewery.science.hops import STORAGE_LAW

Rows = Sequence[tuple[int, float | None]]
"""Of one place: since which day how warm."""
Path = Sequence[tuple[int, int, float]]
"""Of one thing: in which place from which day on, and its protection."""


def law(celsius: np.ndarray) -> np.ndarray:
    return STORAGE_LAW.times ** ((celsius - STORAGE_LAW.reference_c) / STORAGE_LAW.every_k)


def clock_of(places: Sequence[Rows]) -> Clock:
    rows = [(number, since * DAY_MS, celsius) for number, place in enumerate(places) for since, celsius in place]
    return Clock(
        Warmths(
            np.array([row[0] for row in rows], dtype=np.int64),
            np.array([row[1] for row in rows], dtype=np.int64),
            np.array([math.nan if row[2] is None else row[2] for row in rows]),
        ),
        law,
    )


def legs_of(paths: Sequence[Path]) -> Legs:
    rows = [
        (thing, place, start * DAY_MS, end, protection)
        for thing, path in enumerate(paths)
        for (place, start, protection), end in zip(path, [*(leg[1] * DAY_MS for leg in path[1:]), FAR_MS], strict=True)
    ]
    whole = (np.array([row[at] for row in rows], dtype=np.int64) for at in range(4))
    return Legs(*whole, np.array([row[4] for row in rows], dtype=np.float64))


def crossed(limits: Sequence[float], paths: Sequence[Path], places: Sequence[Rows]) -> list[float]:
    """In days."""
    found = crossings(np.array(limits, dtype=np.float64), legs_of(paths), clock_of(places))
    return [float(moment) / DAY_MS for moment in found]


def walked(limit: float, path: Path, places: Sequence[Rows]) -> float:
    """The same for one thing, piece by piece, in days."""
    for (place, start, protection), end in zip(path, [*(leg[1] for leg in path[1:]), math.inf], strict=True):
        rows = [*places[place], (math.inf, None)]
        for (since, celsius), until in ((row, later[0]) for row, later in pairwise(rows)):
            since, until = max(since, start), min(until, end)
            if until <= since:
                continue
            if celsius is None:
                return math.nan if limit > 0 else since
            rate = float(STORAGE_LAW(celsius)) * protection
            if rate * (until - since) >= limit:
                return since + limit / rate
            limit -= rate * (until - since)
    return math.inf


def test_in_the_open_at_20_degrees_so_many_days_as_the_limit():
    assert crossed([30], [[(0, 100, 1.0)]], [[(0, 20.0)]]) == [130]


def test_at_5_degrees_it_takes_twice_as_long_and_in_a_barrier_twice_again():
    """Garetz, Brewing Techniques 2(1): the rate halves for 15 °C, and in a barrier."""
    assert crossed([30, 30], [[(0, 100, 1.0)], [(0, 100, 0.5)]], [[(0, 5.0)]]) == [160, 220]


def test_what_lay_in_two_places_spends_in_each_what_it_spent_there():
    """30 d at 30 °C and 30 d at 0 °C are 59.53 days at 20 °C: sums by hand from the law of Garetz."""
    days = 30 * (2 ** (10 / 15) + 2 ** (-20 / 15))
    assert days == pytest.approx(59.53, abs=0.005)
    assert crossed([days], [[(0, 0, 1.0), (1, 30, 1.0)]], [[(0, 30.0)], [(0, 0.0)]]) == pytest.approx([60], abs=1e-7)


def test_what_was_spent_at_the_start_is_over_then():
    assert crossed([0, -5], [[(0, 100, 1.0)], [(0, 100, 1.0)]], [[(0, 20.0)]]) == [100, 100]


def test_without_a_limit_nothing_is_known_and_without_decay_it_is_never():
    (unknown, never) = crossed([math.nan, math.inf], [[(0, 1, 1.0)], [(0, 1, 1.0)]], [[(0, 20.0)]])
    assert math.isnan(unknown)
    assert never == NEVER


def test_a_warmth_that_nobody_knows_matters_only_before_the_limit():
    places = [[(0, 20.0), (50, None)]]
    known, unknown = crossed([30, 60], [[(0, 10, 1.0)], [(0, 10, 1.0)]], places)
    assert known == 40
    assert math.isnan(unknown)


def test_nothing_at_all_is_worked_out_too():
    assert crossed([], [], [[(0, 20.0)]]) == []


temperatures = st.one_of(st.none(), st.floats(-20, 35))
place_rows = st.lists(st.tuples(st.integers(1, 400), temperatures), max_size=6, unique_by=lambda row: row[0]).flatmap(
    lambda rows: temperatures.map(lambda first: [(0, first), *sorted(rows, key=lambda row: row[0])])
)
paths = st.lists(
    st.tuples(st.integers(0, 2), st.integers(0, 400), st.sampled_from([1.0, 0.75, 0.5])),
    min_size=1,
    max_size=5,
    unique_by=lambda leg: leg[1],
).map(lambda path: sorted(path, key=lambda leg: leg[1]))
things = st.lists(st.tuples(st.integers(0, 400_000).map(lambda milli: milli / 1000), paths), min_size=1, max_size=8)


@given(st.lists(place_rows, min_size=3, max_size=3), things)
def test_all_at_once_is_what_a_walk_through_each_says(places: list[Rows], found: list[tuple[float, Path]]):
    together = crossed([limit for limit, _ in found], [path for _, path in found], places)
    for moment, (limit, path) in zip(together, found, strict=True):
        alone = walked(limit, path, places)
        # Only rounding may part them: the limit is met at the very edge of what is not known.
        if math.isnan(alone) != math.isnan(moment):
            assert math.isfinite(walked(limit * (1 - 1e-9), path, places))
        elif alone < FAR_MS / DAY_MS:
            assert moment == pytest.approx(alone, abs=1e-6)


@given(st.lists(place_rows, min_size=3, max_size=3), things)
def test_what_stands_beside_it_never_changes_a_bit(places: list[Rows], found: list[tuple[float, Path]]):
    together = crossed([limit for limit, _ in found], [path for _, path in found], places)
    for moment, (limit, path) in zip(together, found, strict=True):
        assert crossed([limit], [path], places) == pytest.approx([moment], abs=0, nan_ok=True)


@given(place_rows, st.floats(0, 300), st.integers(0, 300), st.integers(1, 100))
def test_a_stay_that_is_cut_in_two_is_over_at_the_same_time(rows: Rows, limit: float, start: int, days: int):
    whole = crossed([limit], [[(0, start, 1.0)]], [rows])
    cut = crossed([limit], [[(0, start, 1.0), (0, start + days, 1.0)]], [rows])
    if not any(map(math.isnan, whole + cut)):
        assert cut == pytest.approx(whole, abs=1e-6)


@given(place_rows, st.floats(0, 300), st.integers(0, 300), st.integers(1, 399))
def test_saying_the_same_warmth_again_changes_nothing(rows: Rows, limit: float, start: int, day: int):
    told = [celsius for since, celsius in rows if since <= day][-1]
    again = sorted({**dict(rows), day: told}.items())
    before, after = crossed([limit], [[(0, start, 1.0)]], [rows]), crossed([limit], [[(0, start, 1.0)]], [again])
    assert after == pytest.approx(before, abs=1e-6, nan_ok=True)
