"""Dilution: liquor comes in beside the beer, the volume grows by it, and the trace holds the water."""

import pytest

from brewery.kernel.errors import InvalidInput
from brewery.production.services.dilutions import dilute
from inventory.models import Event, Material
from inventory.services.refusals import OverCapacity, VesselEmpty, WrongMaterial
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import links, postings
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """1000 L of beer T1 lie in FV1, 5000 L of deaerated liquor L1 in the store."""
    brewhouse.stock_up()
    brewhouse.ferment()
    Material.objects.create(code="LIQUOR", name="Deaerated liquor", kind="water", base_unit="L", arrives="released")
    brewhouse.deliver("LIQUOR", "L1", "5000 L")
    return brewhouse


def dilute_with(house: Brewhouse, lot: str, quantity: str, vessel: str = "FV1") -> Event:
    (liquor,) = house.parts([(lot, "STORE", quantity)])
    return dilute(
        vessel=house.place(vessel), liquor=liquor, contents_code="D1", happened_at=at(100), **house.by("brewing")
    )


def test_the_volume_grows_by_the_liquor_and_both_are_linked(house: Brewhouse):
    event = dilute_with(house, "L1", "250 L")
    assert postings(event) == {
        ("T1", "FV1", "transformed", "1000 L"),
        ("L1", "STORE", "transformed", "250 L"),
        ("D1", "transformed", "FV1", "1250 L"),
    }
    assert links(event) == {("T1", "D1", "ingredient", "1000 L"), ("L1", "D1", "ingredient", "250 L")}
    assert house.held("D1", "FV1") == micro("1250 L")


def test_only_water_dilutes(house: Brewhouse):
    with pytest.raises(WrongMaterial):
        dilute_with(house, "S1", "1 kg")


def test_nothing_is_no_dilution(house: Brewhouse):
    with pytest.raises(InvalidInput):
        dilute_with(house, "L1", "0 L")


def test_an_empty_tank_is_not_diluted(house: Brewhouse):
    with pytest.raises(VesselEmpty):
        dilute_with(house, "L1", "100 L", "FV2")


def test_a_tank_is_not_diluted_beyond_its_capacity(house: Brewhouse):
    with pytest.raises(OverCapacity):
        dilute_with(house, "L1", "3500 L")
