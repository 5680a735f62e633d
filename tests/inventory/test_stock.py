"""Stock: what is on hand and where, what of it is free, how old it is, in as many statements for little as for much."""

from datetime import date, timedelta

import pytest

from inventory.models import Balance
from inventory.queries.stock import StockWanted, balances_on_hand, lots_on_hand, stock_of_lots, stock_of_materials
from inventory.queries.turnover import turnover_of
from tests.brewhouse import Brewhouse, micro
from tests.inventory.stockroom import TODAY, keep, of_lot, of_material
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """20 kg of H1 (best before in ten days) and 5 kg of H2, whose day is over; M9 is quarantined."""
    brewhouse.deliver("SAAZ", "H1", "20 kg", best_before=TODAY + timedelta(days=10), hours=-72)
    brewhouse.deliver("SAAZ", "H2", "5 kg", "COLD", best_before=TODAY - timedelta(days=1), note="2", hours=-48)
    brewhouse.deliver("MUNICH", "M9", "100 kg", note="3")
    return brewhouse


def test_a_lot_says_where_it_lies_how_old_it_is_and_how_long_it_keeps(house: Brewhouse):
    house.move("H1", "STORE", "COLD", "4.000001 kg", hours=1)
    stock = of_lot(house, "H1")
    assert [(place.location.code, place.quantity_micro) for place in stock.places] == [
        ("COLD", 4_000_001),
        ("STORE", 15_999_999),
    ]
    assert (stock.on_hand_micro, stock.age_days, stock.days_left, stock.is_past) == (micro("20 kg"), 3, 10, False)


def test_a_lot_is_past_only_after_its_best_before_day(house: Brewhouse):
    assert (of_lot(house, "H2").days_left, of_lot(house, "H2").is_past) == (-1, True)
    on_its_day = of_lot(house, "H1", TODAY + timedelta(days=10))
    assert (on_its_day.days_left, on_its_day.is_past) == (0, False)
    assert (of_lot(house, "M9").days_left, of_lot(house, "M9").is_past) == (None, False)


@pytest.mark.parametrize("disposition", ["quarantined", "on_hold", "rejected"])
def test_what_is_not_released_is_on_hand_and_not_free(house: Brewhouse, disposition: str):
    house.decide("H1", disposition, hours=1)
    lot, material = of_lot(house, "H1"), of_material(house, "SAAZ")
    assert (lot.on_hand_micro, lot.usable_micro, lot.free_micro) == (micro("20 kg"), 0, 0)
    assert (material.on_hand_micro, material.usable_micro, material.free_micro) == (
        micro("25 kg"),
        micro("5 kg"),
        micro("5 kg"),
    )
    assert material.held_back_micro == micro("20 kg")


def test_what_is_reserved_is_on_hand_and_not_free(house: Brewhouse):
    keep(house, "H1", "7.5 kg", "B1")
    lot, material = of_lot(house, "H1"), of_material(house, "SAAZ")
    assert (lot.reserved_micro, lot.free_micro) == (micro("7.5 kg"), micro("12.5 kg"))
    assert (material.reserved_micro, material.free_micro) == (micro("7.5 kg"), micro("17.5 kg"))


def test_a_held_lots_reservation_takes_nothing_from_the_other_lots(house: Brewhouse):
    keep(house, "H1", "20 kg", "B1")
    house.decide("H1", "on_hold", hours=1)
    assert of_material(house, "SAAZ").free_micro == micro("5 kg")


def test_a_reservation_of_more_than_a_count_has_left_takes_nothing_from_the_other_lots(house: Brewhouse):
    keep(house, "H1", "20 kg", "B1")
    house.count("H1", "STORE", "1 kg", hours=1)
    assert of_lot(house, "H1").free_micro == 0
    assert of_material(house, "SAAZ").free_micro == micro("5 kg")


def test_a_material_counts_its_lots_what_is_past_and_what_expires_next(house: Brewhouse):
    stock = of_material(house, "SAAZ")
    assert (stock.lots, stock.past_micro, stock.next_best_before) == (2, micro("5 kg"), TODAY - timedelta(days=1))
    nothing = of_material(house, "GYPSUM")
    assert (nothing.lots, nothing.on_hand_micro, nothing.free_micro, nothing.next_best_before) == (0, 0, 0, None)


def test_what_is_drawn_or_sampled_is_not_on_hand(house: Brewhouse):
    brew = house.start_brew("B1", hours=1)
    house.draw(brew, ("H1", "STORE", "2 kg"), hours=1)
    house.sample("H1", "STORE", "0.1 kg", hours=2)
    stock = of_material(house, "SAAZ")
    assert (stock.on_hand_micro, stock.in_process_micro) == (micro("22.9 kg"), micro("2 kg"))
    assert of_lot(house, "H1").on_hand_micro == micro("17.9 kg")


def test_a_lot_that_is_gone_is_not_on_hand(house: Brewhouse):
    house.destroy("H1", "STORE", "20 kg", hours=1)
    assert codes(StockWanted()) == {"H2", "M9"}


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ({"kind": "hop"}, {"H1", "H2"}),
        ({"kind": "malt"}, {"M9"}),
        ({"disposition": "quarantined"}, {"M9"}),
        ({"expiring_before": TODAY}, {"H2"}),
        ({"expiring_before": TODAY + timedelta(days=10)}, {"H2"}),
        ({"expiring_before": TODAY + timedelta(days=11)}, {"H1", "H2"}),
        ({"code": "h1"}, {"H1"}),
        ({"place": "COLD"}, {"H2"}),
        ({"material": "MUNICH"}, {"M9"}),
        ({"kind": "hop", "place": "STORE", "disposition": "released"}, {"H1"}),
    ],
)
def test_the_stock_is_narrowed_by_what_is_asked(house: Brewhouse, asked: dict[str, object], expected: set[str]):
    if "place" in asked:
        asked = {**asked, "place": house.place(str(asked["place"]))}
    if "material" in asked:
        asked = {**asked, "material": house.material(str(asked["material"]))}
    assert codes(StockWanted(**asked)) == expected
    assert {row.lot.code for row in balances_on_hand(StockWanted(**asked))} == expected


@pytest.mark.usefixtures("whole_chain")
def test_any_history_leaves_on_hand_what_came_less_what_went(brewhouse: Brewhouse):
    brewhouse.reverse(brewhouse.deliver("SAAZ", "H9", "3 kg", hours=350, note="9"))
    brewhouse.count("H1", "STORE", "17 kg", hours=360)
    brewhouse.sample("H1", "STORE", "0.5 kg", hours=361)
    materials = list({balance.lot.material for balance in Balance.objects.select_related("lot__material")})
    for turnover in turnover_of(materials):
        assert turnover.on_hand_micro == of_material(brewhouse, turnover.material.code).on_hand_micro
    (saaz,) = turnover_of([brewhouse.material("SAAZ")])
    assert {name: flow for name, flow in saaz.flows.items() if flow} == {
        "received": micro("20 kg"),
        "drawn": -micro("2 kg"),
        "found": -micro("1 kg"),
        "sampled": -micro("0.5 kg"),
    }


def test_the_number_of_statements_does_not_grow(brewhouse: Brewhouse, django_assert_num_queries):
    for number in range(8):
        brewhouse.deliver("SAAZ", f"H{number}", "20 kg", note=f"N{number}")
        if number in (0, 7):
            keep(brewhouse, f"H{number}", "1 kg", "B1", date(2030, 1, 1))
            lots, material = [brewhouse.lot(f"H{each}") for each in range(number + 1)], brewhouse.material("SAAZ")
            with django_assert_num_queries(2):
                assert len(stock_of_lots(lots, TODAY)) == number + 1
            with django_assert_num_queries(3):
                assert stock_of_materials([material], TODAY)[0].lots == number + 1
            with django_assert_num_queries(1):
                assert turnover_of([material])[0].on_hand_micro


def codes(wanted: StockWanted) -> set[str]:
    """Return the codes of the lots that are asked for."""
    return {lot.code for lot in lots_on_hand(wanted)}
