"""Fermentations: what the readings of a tank tell, back to knock-out."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from brewery.production.queries.fermentations import Fermentation, fermentation_of, fermentation_of_lot, fermentations
from brewery.production.queries.fills import fills_of
from brewery.production.services.additions import add_to_tank
from brewery.science.fermentation import State
from inventory.models import Material
from tests.brewhouse import Brewhouse, at, micro
from tests.production.brewday import brew_by, reading, write
from tests.production.cellar import ENDED, FALLING, STUCK, fermenting, gravities, measured, put_right, read
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """T1 was pitched in FV1 at hour 10; before, from hour 9, it was wort W1 of 12 °P."""
    fermenting(brewhouse)
    return brewhouse


def of(house: Brewhouse, vessel: str = "FV1", hours: float = 210) -> Fermentation:
    found = fermentation_of(house.place(vessel), at(hours))
    assert found
    return found


def second_brew(house: Brewhouse, plato: str, hours: float, into: dict) -> None:
    brew = brew_by(house, None, "B2", hours=hours)
    house.draw(brew, ("M1", "SILO1", "100 kg"), hours=hours)
    write(house, brew, reading("knock_out", "gravity", plato), hours=hours)
    house.knock_out(brew, "W2", into, hours=hours + 1)


def test_a_tank_that_was_never_read_says_so(house: Brewhouse):
    found = of(house)
    assert (found.state, found.has_ended, found.fit, found.attenuation) == (State.UNKNOWN, False, None, None)
    assert found.missing == "A curve needs 4 readings of gravity; there are 0."
    assert (found.pitched_at, found.original.plato, found.aim_plato) == (at(10), 12, 2.5)


@pytest.mark.parametrize(
    ("read_so", "hours", "state"),
    [(FALLING, 130, State.SLOWING), (ENDED, 210, State.ENDED), (STUCK, 135, State.STUCK)],
)
def test_the_state_is_told_by_the_readings(house: Brewhouse, read_so: dict, hours: float, state: State):
    gravities(house, read_so)
    found = of(house, hours=hours)
    assert (found.state, found.has_ended) == (state, state is State.ENDED)


def test_the_end_is_expected_by_a_curve_with_a_band(house: Brewhouse):
    gravities(house, FALLING)
    found = of(house, hours=131)
    assert found.fit
    assert found.ends_at
    assert found.fit.final.value == pytest.approx(2.4, abs=0.3)
    best, earliest, latest = found.ends_at
    assert earliest <= best <= latest
    assert at(140) < best < at(190)


def test_attenuation_and_alcohol_are_reckoned_from_what_went_in(house: Brewhouse):
    gravities(house, ENDED)
    found = of(house)
    assert found.original.source == "gravity at knock-out: B1"
    assert found.attenuation
    assert found.attenuation.apparent_pct == pytest.approx(100 * 9.5 / 12)


def test_what_is_read_later_or_was_corrected_does_not_count(house: Brewhouse):
    wrong = read(house, measured(house, "gravity", "1.2", 20))
    put_right(house, wrong, "11.2", hours=20)
    gravities(house, {30: "11", 40: "10"})
    assert [one.value_micro for one in of(house, hours=35).gravities] == [11_200_000, 11_000_000]


def test_dry_hops_leave_the_readings_with_the_fermentation_and_are_marked(house: Brewhouse):
    gravities(house, FALLING)
    house.add("FV1", "T2", ("H1", "STORE", "1 kg"), hours=135)
    gravities(house, {154: "2.5", 178: "2.5", 202: "2.5"})
    found = of(house)
    assert (found.state, len(found.gravities), found.lot.code) == (State.ENDED, 9, "T2")
    assert [one.words for one in found.additions] == ["Lager yeast", "Saaz"]


def test_beer_that_moved_on_whole_brings_its_readings_along(house: Brewhouse):
    gravities(house, FALLING)
    house.transfer("FV1", "FV2", "1000 L", hours=140)
    gravities(house, {154: "2.5", 178: "2.5", 202: "2.5"}, "FV2")
    assert fermentation_of(house.place("FV1")) is None
    assert len(of(house, "FV2").gravities) == 9
    assert of(house, "FV2").has_ended


def test_of_a_lot_in_two_tanks_each_goes_its_own_way(house: Brewhouse):
    gravities(house, FALLING)
    house.transfer("FV1", "FV2", "500 L", hours=140)
    gravities(house, {154: "2.5", 178: "2.5", 202: "2.5"}, "FV2")
    gravities(house, {154: "2.7"}, "FV1")
    assert [len(of(house, tank).gravities) for tank in ("FV1", "FV2")] == [7, 9]
    assert [of(house, tank).has_ended for tank in ("FV1", "FV2")] == [False, True]


def test_a_reading_of_what_was_undone_counts_in_its_tank(house: Brewhouse):
    added = house.add("FV1", "T2", ("H1", "STORE", "1 kg"), hours=20)
    gravities(house, {21: "11"})
    house.reverse(added)
    assert len(of(house).gravities) == 1


def test_the_gravity_of_two_brews_is_weighted_by_volume_and_the_curve_begins_when_the_second_is_in(house: Brewhouse):
    gravities(house, {10: "12", 20: "11.5"})
    second_brew(house, "15", 22, {"FV1": ("500 L", "T2")})
    gravities(house, {24: "12.4", 40: "11.6"})
    found = of(house, hours=41)
    assert found.original.plato == pytest.approx((1000 * 12 + 500 * 15) / 1500)
    assert found.original.source == "gravities at knock-out, weighted by volume: B1, B2"
    assert found.missing == "A curve needs 4 readings of gravity; there are 2."
    assert len(found.gravities) == 4


def test_liquor_thins_what_went_in(house: Brewhouse):
    Material.objects.create(code="LIQUOR", name="Deaerated liquor", kind="water", base_unit="L", arrives="released")
    house.deliver("LIQUOR", "L1", "500 L")
    add_to_tank(
        vessel=house.place("FV1"),
        contents_code="T2",
        additions=house.parts([("L1", "STORE", "200 L")]),
        volume_after_micro=micro("1200 L"),
        happened_at=at(30),
        **house.by("brewing"),
    )
    assert of(house).original.plato == pytest.approx(10)


def test_without_a_log_the_first_gravity_in_the_tank_counts(house: Brewhouse):
    brew = brew_by(house, None, "B2", hours=20)
    house.draw(brew, ("M1", "SILO1", "100 kg"), hours=20)
    house.knock_out(brew, "W2", {"FV2": "500 L"}, hours=21)
    gravities(house, {22: "13"}, "FV2")
    found = of(house, "FV2")
    assert (found.original.plato, found.original.source) == (13, "the first gravity read in the tank")
    assert (found.pitched_at, found.began_at, found.sheet) == (None, at(22), None)


def test_a_lot_that_left_its_tanks_is_still_told_of(house: Brewhouse):
    gravities(house, ENDED)
    house.destroy("T1", "FV1", "1000 L", hours=210)
    assert fermentation_of(house.place("FV1")) is None
    found = fermentation_of_lot(house.lot("T1"), at(215))
    assert found
    assert (found.has_ended, found.vessel.code) == (True, "FV1")
    assert fermentation_of_lot(house.lot("Y1")) is None


# T1 -- T2 (1000 + 500 of W2); T2 -- T3 with hops: two thirds came of W1, one third of W2.
def test_shares_go_back_over_every_step(house: Brewhouse):
    second_brew(house, "15", 22, {"FV1": ("500 L", "T2")})
    house.add("FV1", "T3", ("H1", "STORE", "1 kg"), hours=30)
    lots = {code: house.lot(code).pk for code in ("W1", "W2", "T1", "T2", "T3")}
    fill = fills_of([lots["T3"]])[lots["T3"]]
    assert fill.line == tuple(lots[code] for code in ("T3", "T2", "T1", "W1"))
    assert fill.shares == {lots["W1"]: pytest.approx(2 / 3), lots["W2"]: pytest.approx(1 / 3)}
    assert (fill.pitched_at, fill.steady_since) == (at(10), at(23))


def test_all_tanks_are_told_of_with_the_same_statements(house: Brewhouse):
    gravities(house, FALLING)
    with CaptureQueriesContext(
        connection,
    ) as one:
        assert [found.vessel.code for found in fermentations(at(131))] == ["FV1"]
    second_brew(house, "15", 22, {"FV2": "500 L"})
    gravities(house, {24: "15"}, "FV2")
    with CaptureQueriesContext(connection) as two:
        assert [found.vessel.code for found in fermentations(at(131))] == ["FV1", "FV2"]
    assert len(two) == len(one)
