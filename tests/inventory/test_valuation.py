"""Valuation: first in first out and weighted average, exact, tied to the postings, and nothing guessed."""

from datetime import timedelta
from fractions import Fraction
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from hypothesis import given
from hypothesis import strategies as st

from brewery.kernel.errors import InvalidInput
from inventory.models import Lot, LotCost
from inventory.queries.valuation import Layer, Valuation, valuation, worth
from inventory.services.costs import OtherCurrency, record_cost
from tests.brewhouse import START, Brewhouse, at, micro
from tests.ledger import refused
from tests.standing import built_once


def cost(house: Brewhouse, lot: str, unit_cost_e4: int, currency: str = "EUR") -> LotCost:
    asked = {"lot": house.lot(lot), "unit_cost_e4": unit_cost_e4, "currency": currency}
    return record_cost(**asked, **house.by("accounting"))


def valued(house: Brewhouse, start: float, end: float, material: str = "SAAZ") -> Valuation:
    return valuation(house.material(material), at(start), at(end))


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """10 kg of H1 at 12.00, then 30 kg of H2 at 16.00; 4 kg drawn before hour 10, 16 kg after it."""
    brewhouse.deliver("SAAZ", "H1", "10 kg", supplier="HOPYARD")
    brewhouse.deliver("SAAZ", "H2", "30 kg", hours=5, note="2", supplier="HOPYARD")
    cost(brewhouse, "H1", 12_0000)
    cost(brewhouse, "H2", 16_0000)
    brew = brewhouse.start_brew("B1", hours=1)
    brewhouse.draw(brew, ("H1", "STORE", "4 kg"), hours=2)
    brewhouse.draw(brew, ("H2", "STORE", "16 kg"), hours=12)
    return brewhouse


def test_what_came_first_goes_out_first_whatever_lot_was_drawn(house: Brewhouse):
    """6 kg at 12.00 and 10 kg at 16.00 are 232.00; 20 kg at 16.00 are left: worked by hand."""
    period = valued(house, 10, 20)
    assert (period.went_out.micro, period.went_out.value) == (micro("16 kg"), 232)
    assert (period.opening.value, period.came.value, period.closing.value) == (6 * 12 + 30 * 16, 0, 20 * 16)
    assert period.currency == "EUR"


def test_the_average_is_of_what_was_there_and_what_came(house: Brewhouse):
    """From the start: 600.00 for 40 kg are 15.00 a kg; 20 kg went out: worked by hand."""
    period = valued(house, -1, 20)
    assert (period.average_per_unit, period.went_out_by_average, period.closing_by_average) == (15, 300, 300)
    later = valued(house, 10, 20)
    assert later.average_per_unit == 15
    assert later.went_out_by_average == 240


def test_what_was_there_and_came_is_what_went_out_and_is_left(house: Brewhouse):
    house.destroy("H2", "STORE", "1.000001 kg", hours=13)
    house.count("H1", "STORE", "5.5 kg", hours=14)
    house.bring_back(house.brew("B1"), ("H2", "STORE", "2 kg"), hours=15)
    for start, end in ((-1, 3), (3, 13.5), (-1, 20), (10, 20), (14.5, 16), (21, 22)):
        period = valued(house, start, end)
        assert period.opening.value + period.came.value == period.went_out.value + period.closing.value
        assert period.opening.micro + period.came.micro == period.went_out.micro + period.closing.micro
        if period.average_per_unit is not None:
            before = period.average_per_unit * (period.opening.micro + period.came.micro) / 1_000_000
            assert before == period.went_out_by_average + period.closing_by_average


def test_periods_add_up(house: Brewhouse):
    parts = [valued(house, start, end).went_out.value for start, end in ((-1, 3), (3, 12), (12, 20))]
    assert sum(parts) == valued(house, -1, 20).went_out.value


def test_what_is_left_is_what_the_ledger_has(house: Brewhouse):
    assert valued(house, -1, 20).closing.micro == house.held("H1", "STORE") + house.held("H2", "STORE")


def test_a_lot_without_a_cost_is_named_and_not_guessed(house: Brewhouse):
    house.deliver("SAAZ", "H3", "5 kg", hours=6, note="3")
    period = valued(house, 10, 20)
    assert (period.closing.value, period.closing.without_cost) == (20 * 16, {"H3": micro("5 kg")})
    assert (period.average_per_unit, period.went_out_by_average, period.closing_by_average) == (None, None, None)
    assert period.went_out.is_known


def test_the_newest_cost_counts(house: Brewhouse):
    cost(house, "H2", 20_0000)
    assert valued(house, 10, 20).closing.value == 20 * 20
    with pytest.raises(IntegrityError, match="costs_are_never_changed"), transaction.atomic():
        LotCost.objects.update(unit_cost_e4=1)


def test_a_delivery_that_was_reversed_is_worth_nothing(house: Brewhouse):
    mistake = house.deliver("SAAZ", "H9", "500 kg", hours=6, note="9")
    cost(house, "H9", 99_0000)
    house.reverse(mistake)
    assert valued(house, -1, 20).came.value == 600


def test_a_silo_that_was_refilled_is_worth_what_was_poured_in(brewhouse: Brewhouse):
    brewhouse.deliver("PILS", "M1", "1000 kg", "SILO1")
    brewhouse.deliver("PILS", "M2", "500 kg", "SILO1", hours=3, note="2", contents_code="MX1")
    cost(brewhouse, "M1", 5000)
    cost(brewhouse, "M2", 8000)
    period = valued(brewhouse, -1, 20, "PILS")
    assert (period.came.value, period.closing.value, period.closing.micro) == (900, 900, micro("1500 kg"))


def test_what_a_count_found_beyond_all_that_came_has_no_cost(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "10 kg")
    cost(brewhouse, "H1", 12_0000)
    brewhouse.count("H1", "STORE", "11 kg", hours=1)
    period = valued(brewhouse, -1, 20)
    assert (period.closing.value, period.closing.without_cost) == (120, {"found": micro("1 kg")})
    assert period.closing.micro == micro("11 kg")


def test_a_material_of_which_nothing_ever_came_is_worth_nothing(brewhouse: Brewhouse):
    period = valued(brewhouse, -1, 20)
    assert (period.closing.micro, period.closing.value, period.average_per_unit, period.currency) == (0, 0, None, "")


@pytest.mark.parametrize(
    ("unit_cost_e4", "currency", "field"),
    [(-1, "EUR", "unit_cost"), (1, "eur", "currency"), (1, "EURO", "currency"), (1, "", "currency")],
)
def test_a_cost_that_cannot_be_is_refused(house: Brewhouse, unit_cost_e4: int, currency: str, field: str):
    with pytest.raises(InvalidInput) as refusal:
        cost(house, "H1", unit_cost_e4, currency)
    assert refusal.value.field == field


def test_one_material_is_valued_in_one_currency(house: Brewhouse):
    sentence = "Lots of Saaz are valued in EUR; USD cannot be added to it."
    with refused(OtherCurrency, sentence, field="currency"):
        cost(house, "H1", 1, "USD")


def test_the_number_of_statements_does_not_grow(house: Brewhouse, django_assert_num_queries):
    saaz = house.material("SAAZ")
    for number in range(3):
        with django_assert_num_queries(2):
            valuation(saaz, at(-1), at(20))
        house.deliver("SAAZ", f"X{number}", "5 kg", hours=9, note=f"X{number}")


made = st.lists(st.tuples(st.integers(1, 10**9), st.integers(0, 10**7)), min_size=1, max_size=8)


@given(rows=made, cuts=st.tuples(st.integers(0, 10**10), st.integers(0, 10**10)))
def test_the_worth_of_a_stretch_is_the_sum_over_its_units(rows: list[tuple[int, int]], cuts: tuple[int, int]):
    """Against another way to it: the price of everything up to a point, by one pass, subtracted."""
    layers = [Layer(Lot(code=f"L{at}"), START + timedelta(hours=at), *row) for at, row in enumerate(rows)]
    total = sum(size for size, _ in rows)
    first, last = sorted(cut % (total + 1) for cut in cuts)

    def up_to(point: int) -> Fraction:
        price, left = Fraction(0), point
        for size, unit in rows:
            price += Fraction(min(size, left) * unit, 10**10)
            left -= min(size, left)
        return price

    found: Any = worth(layers, first, last)
    assert (found.value, found.micro) == (up_to(last) - up_to(first), last - first)
