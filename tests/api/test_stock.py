"""Stock, reservations and proposals over the API."""

from datetime import timedelta

import pytest

from brewery.kernel.clock import brewery_day
from tests.api.client import Api, fields_of, problem_of
from tests.api.test_lists import codes, queries_of, rows
from tests.brewhouse import START
from tests.inventory.stockroom import keep
from tests.standing import built_once

R, B = "receiving", "brewing"


@built_once
def stocked(api: Api) -> Api:
    """H1 of 20 kg, of which 5 kg lie in the cold store and 7.5 kg are kept for B1; H2 is on hold; M1 in a silo."""
    house = api.house
    house.deliver("SAAZ", "H1", "20 kg", best_before=START.date() + timedelta(days=1), supplier="HOPYARD")
    house.deliver("SAAZ", "H2", "10 kg", note="2")
    house.deliver("PILS", "M1", "1000 kg", "SILO1", note="3")
    house.move("H1", "STORE", "COLD", "5.000001 kg", hours=1)
    house.decide("H2", "on_hold", hours=1)
    keep(house, "H1", "7.5 kg", "B1")
    return api


def kg(quantity: str) -> dict[str, str]:
    return {"quantity": quantity, "unit": "kg"}


def test_a_material_shows_what_is_on_hand_held_back_reserved_and_free(stocked: Api):
    (saaz,) = rows(stocked.get("stock/materials/", material="SAAZ"))
    days = (brewery_day() - START.date()).days
    assert days > 2
    assert saaz == {
        "material": "SAAZ",
        "name": "Saaz",
        "kind": "hop",
        "lots": 2,
        "on_hand": kg("30"),
        "held_back": kg("10"),
        "reserved": kg("7.5"),
        "free": kg("12.5"),
        "in_process": kg("0"),
        "past_best_before": kg("20"),
        "next_best_before": (START.date() + timedelta(days=1)).isoformat(),
    }


def test_one_material_shows_every_way_in_and_out_and_they_add_up(stocked: Api):
    stocked.house.destroy("H2", "STORE", "0.000001 kg", hours=3)
    saaz = stocked.get("stock/materials/SAAZ/").json()
    assert saaz["on_hand"] == kg("29.999999")
    assert {flow["way"]: flow["quantity"] for flow in saaz["flows"] if flow["quantity"] != "0"} == {
        "received": "30",
        "destroyed": "-0.000001",
    }


def test_a_lot_shows_where_it_lies_and_how_long_it_keeps(stocked: Api):
    (h1,) = rows(stocked.get("stock/lots/", lot="H1"))
    days = (brewery_day() - START.date()).days
    assert h1 == {
        "lot": "H1",
        "material": "SAAZ",
        "kind": "hop",
        "disposition": "released",
        "age_days": days,
        "best_before": (START.date() + timedelta(days=1)).isoformat(),
        "days_left": 1 - days,
        "is_past": True,
        "on_hand": kg("20"),
        "reserved": kg("7.5"),
        "free": kg("12.5"),
        "where": [
            {"location": "COLD", "store": None, **kg("5.000001")},
            {"location": "STORE", "store": None, **kg("14.999999")},
        ],
    }


@pytest.mark.parametrize(
    ("narrowed", "expected"),
    [
        ({}, {"H1", "H2", "M1"}),
        ({"material": "PILS"}, {"M1"}),
        ({"kind": "hop"}, {"H1", "H2"}),
        ({"disposition": "on_hold"}, {"H2"}),
        ({"location": "COLD"}, {"H1"}),
        ({"location": "NOWHERE"}, set()),
        ({"expiring_before": "2026-03-04"}, {"H1"}),
        ({"expiring_before": "2026-03-03"}, set()),
        ({"lot": "M1"}, {"M1"}),
    ],
)
def test_lots_and_places_are_narrowed_alike(stocked: Api, narrowed: dict[str, str], expected: set[str]):
    assert set(codes(stocked.get("stock/lots/", **narrowed), "lot")) == expected
    assert set(codes(stocked.get("stock/places/", **narrowed), "lot")) == expected


def test_a_place_shows_what_lies_in_it(stocked: Api):
    (there,) = rows(stocked.get("stock/places/", location="COLD"))
    assert (there["lot"], there["location"], there["quantity"]) == ("H1", "COLD", "5.000001")


def test_materials_without_stock_can_be_left_out(stocked: Api):
    assert codes(stocked.get("stock/materials/", in_stock="true"), "material") == ["PILS", "SAAZ"]
    assert "PILS" not in codes(stocked.get("stock/materials/", in_stock="false"), "material")


@pytest.mark.parametrize(
    ("address", "most"),
    [("stock/materials/", 5), ("stock/lots/", 4), ("stock/places/", 2), ("reservations/", 2)],
)
def test_a_list_takes_the_same_few_queries_however_long_it_is(stocked: Api, address: str, most: int):
    first = queries_of(stocked, address)
    for number in range(5):
        stocked.house.deliver("CASCADE", f"X{number}", "5 kg", hours=9, note=f"X{number}")
        keep(stocked.house, f"X{number}", "1 kg", f"B{number}")
    assert queries_of(stocked, address) == first <= most


def test_a_reservation_says_what_it_still_keeps_until_it_is_let_go(stocked: Api):
    stocked.house.draw(stocked.house.start_brew("B1", hours=2), ("H1", "STORE", "2 kg"), hours=2)
    (kept,) = rows(stocked.get("reservations/"))
    assert (kept["lot"], kept["purpose"], kept["actor"]) == ("H1", "B1", "brewing")
    assert (kept["reserved"], kept["kept"]) == (kg("7.5"), kg("5.5"))
    answer = stocked.post("reservation-releases/", {"reservation": kept["id"]}, R)
    assert (answer.status_code, answer.json()["kept"]) == (201, kg("0"))
    assert rows(stocked.get("reservations/", is_open="true")) == []
    again = problem_of(stocked.post("reservation-releases/", {"reservation": kept["id"]}, R), 409)
    assert (again["code"], fields_of(again)) == ("let_go_already", ["reservation"])


@pytest.mark.parametrize("number", [0, 10**30, 999_999, "x"])
def test_a_reservation_that_is_not_there_is_not_let_go(stocked: Api, number: object):
    problem = problem_of(stocked.post("reservation-releases/", {"reservation": number}, R), 400)
    assert fields_of(problem) == ["reservation"]


def test_a_proposal_says_what_to_take_what_is_missing_and_why(stocked: Api):
    asked = {"material": "SAAZ", "quantity": "14000", "unit": "g", "use_on": "2026-03-03"}
    assert stocked.get("proposals/", **asked).json() == {
        "material": "SAAZ",
        "asked": kg("14"),
        "proposed": kg("12.5"),
        "missing": kg("1.5"),
        "lines": [proposed("COLD", "5.000001"), proposed("STORE", "7.499999")],
        "left_out": [
            {"lot": "H1", "reason": "kept for something else", **kg("7.5")},
            {"lot": "H2", "reason": "on hold", **kg("10")},
        ],
    }
    assert stocked.get("proposals/", **asked | {"use_on": "2026-03-04"}).json()["lines"] == []


def proposed(location: str, quantity: str) -> dict[str, object]:
    facts = {"best_before": "2026-03-03", "whole_packages": 0, "opens_one": False}
    return {"lot": "H1", "location": location, **facts, **kg(quantity)}


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"material": "GOLD"}, "material"),
        ({"unit": "L"}, "unit"),
        ({"quantity": "0"}, "quantity"),
        ({"use_on": "x"}, "use_on"),
    ],
)
def test_a_proposal_for_what_cannot_be_is_refused(stocked: Api, changed: dict[str, str], field: str):
    asked = {"material": "SAAZ", "quantity": "1", "unit": "kg"}
    assert fields_of(problem_of(stocked.get("proposals/", **asked | changed), 400)) == [field]
