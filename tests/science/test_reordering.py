"""Reordering: worked by hand, by properties, and by playing it out."""

import math
from datetime import date, timedelta
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.ranges import OutOfRange
from brewery.science.reordering import (
    Demand,
    LeadTime,
    demand_of,
    fixed_quantity,
    lead_time_of,
    order_up_to,
    reorder_point,
    rounded_up,
    safety_factor,
    safety_stock,
)
from brewery.science.stock_ahead import first_short, stock_ahead, wanted_through

TODAY = date(2026, 6, 1)


@pytest.mark.parametrize(("service", "z"), [(0.9, 1.282), (0.95, 1.645), (0.975, 1.960), (0.99, 2.326)])
def test_the_safety_factor_is_the_quantile_of_the_normal_distribution(service: float, z: float):
    """Tables of statistics, from memory."""
    assert safety_factor(service) == pytest.approx(z, abs=5e-4)


def test_the_safety_stock_by_hand():
    """sqrt(9 · 5² + 20² · 2²) = sqrt(1825) = 42.72; 1.645 times that is 70.27; 20 · 9 are used until it comes."""
    demand, lead = Demand(20, 5), LeadTime(9, 2)
    assert safety_stock(demand, lead, 0.95) == pytest.approx(70.27, abs=0.01)
    assert reorder_point(demand, lead, 0.95) == pytest.approx(250.27, abs=0.01)
    # Looked at once a week: sqrt(16 · 25 + 1600) = 44.72.
    assert reorder_point(demand, lead, 0.95, 7) == pytest.approx(20 * 16 + 1.64485 * 44.7214, abs=0.01)


def test_demand_and_lead_time_are_mean_and_spread_of_what_was():
    assert demand_of([0, 10, 20]) == Demand(10, 10)
    assert lead_time_of([8, 10, 12], promised=30) == LeadTime(10, 2, 3)
    assert lead_time_of([8, 10], promised=20) == LeadTime(20, 5, 2)
    with pytest.raises(OutOfRange):
        demand_of([3])


@pytest.mark.parametrize(
    ("quantity", "pack", "least", "ordered"),
    [
        (0, 25, 100, 0),
        (-5, None, None, 0),
        (30, 25, None, 50),
        (50, 25, None, 50),
        (30, 25, 120, 125),
        (30, None, 40, 40),
    ],
)
def test_an_order_comes_in_whole_packs_and_no_less_than_the_least(
    quantity: int, pack: int | None, least: int | None, ordered: int
):
    assert rounded_up(quantity, pack, least) == ordered


def test_what_is_ordered_lifts_the_position_to_where_it_should_be():
    assert order_up_to(position=80, point=100, top=500, pack=25) == 425
    assert order_up_to(position=101, point=100, top=500) == 0
    assert order_up_to(position=10, point=100, top=50) == 90
    assert fixed_quantity(position=100, point=100, quantity=40) == 40
    assert fixed_quantity(position=10, point=100, quantity=40) == 120
    assert fixed_quantity(position=101, point=100, quantity=40) == 0
    with pytest.raises(OutOfRange):
        fixed_quantity(1, 2, 0)
    with pytest.raises(OutOfRange):
        rounded_up(1, 0)


demands = st.builds(Demand, st.floats(0, 1000), st.floats(0, 500))
leads = st.builds(LeadTime, st.floats(0, 100), st.floats(0, 30))


@given(demands, leads, st.floats(0.5, 0.99), st.floats(0, 30))
def test_more_service_and_more_scatter_never_lower_the_point(
    demand: Demand, lead: LeadTime, service: float, review: float
):
    point = reorder_point(demand, lead, service, review)
    assert point >= demand.mean * (lead.days + review)
    assert reorder_point(demand, lead, min(0.999, service + 0.01), review) >= point - 1e-9
    assert reorder_point(Demand(demand.mean, demand.spread + 1), lead, service, review) >= point - 1e-9
    assert reorder_point(demand, LeadTime(lead.days, lead.spread + 1), service, review) >= point - 1e-9


@given(st.integers(0, 10**9), st.integers(1, 10**6), st.integers(0, 10**6), st.integers(0, 10**9))
def test_a_fixed_quantity_is_the_least_number_that_lifts_it(point: int, quantity: int, least: int, position: int):
    ordered = fixed_quantity(position, point, quantity, least=least)
    one = max(quantity, least)
    if position > point:
        assert ordered == 0
    else:
        assert position + ordered > point >= position + ordered - one


def test_played_out_the_service_is_what_was_asked_for():
    """An oracle of its own: 4,000 lead times with daily uses drawn at random, all from one seed."""
    random, demand, lead = Random(20260601), Demand(50, 20), LeadTime(12, 3)
    point = reorder_point(demand, lead, 0.95)
    enough = 0
    for _ in range(4_000):
        days = max(0, round(random.gauss(lead.days, lead.spread)))
        enough += math.fsum(random.gauss(demand.mean, demand.spread) for _ in range(days)) <= point
    assert enough / 4_000 == pytest.approx(0.95, abs=0.015)


def test_the_stock_ahead_by_hand():
    """100 are here; 30 are planned for tomorrow, 50 come in two days; after that 10 a day are usual."""
    ahead = stock_ahead(
        100,
        TODAY,
        4,
        comes={TODAY + timedelta(2): 50.0},
        planned={TODAY + timedelta(1): 30.0},
        usual=Demand(10, 2),
    )
    assert [one.stock for one in ahead] == [100, 70, 110, 100, 90]
    assert ahead[1].low == ahead[1].high == 70
    assert ahead[4].high - ahead[4].stock == pytest.approx(1.645 * 2 * math.sqrt(3), abs=1e-3)
    assert first_short(ahead) is None
    assert wanted_through(ahead, TODAY + timedelta(6)) == 30 + 10 * 3 + 20


def test_what_is_late_comes_today_and_the_day_of_nothing_left_is_told():
    ahead = stock_ahead(
        5, TODAY, 3, comes={TODAY - timedelta(9): 4.0}, planned={TODAY - timedelta(1): 2.0}, usual=Demand(4, 0)
    )
    assert [one.stock for one in ahead] == [3, -1, -5, -9]
    assert first_short(ahead) == TODAY + timedelta(1)


@given(
    st.floats(0, 1e6),
    st.dictionaries(st.integers(-5, 40), st.floats(0, 1e4), max_size=8),
    st.dictionaries(st.integers(-5, 40), st.floats(0, 1e4), max_size=8),
    st.builds(Demand, st.floats(0, 1000), st.floats(0, 500)),
)
def test_nothing_is_lost_on_the_way(here: float, comes: dict[int, float], planned: dict[int, float], usual: Demand):
    dated = [{TODAY + timedelta(day): amount for day, amount in some.items()} for some in (comes, planned)]
    ahead = stock_ahead(here, TODAY, 40, comes=dated[0], planned=dated[1], usual=usual)
    unplanned = sum(one.day > max(dated[1], default=TODAY - timedelta(1)) for one in ahead)
    closing = here + sum(comes.values()) - sum(planned.values()) - unplanned * usual.mean
    assert ahead[-1].stock == pytest.approx(closing, abs=1e-3)
    assert all(one.low <= one.stock <= one.high for one in ahead)
