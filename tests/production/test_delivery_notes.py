"""The delivery note: what went to whom by lot and pallet, with allergens as recorded; words are never markup."""

import pytest

from brewery.production.models import Shipment
from brewery.production.printing.delivery_notes import data_of, note_as_pdf
from brewery.production.queries.delivery_notes import shipments
from brewery.production.services.customer_orders import WantedLine
from brewery.production.services.dispatch import Papers
from tests.brewhouse import Brewhouse
from tests.production.dispatching import in_days, kegs, ordered, pallet_of, picked, shipped
from tests.production.test_sheet_print import pages_of
from tests.standing import built_once


@built_once
def shipment(brewhouse: Brewhouse) -> Shipment:
    """Six kegs of K1 went on a pallet and two loose, with two cases of B1."""
    kegs(brewhouse, "K1", 10, keeps=100)
    kegs(brewhouse, "B1", 2, keeps=200, material="BOTTLE500")
    unit = pallet_of(brewhouse, "K1", 6)
    lines = [WantedLine(brewhouse.material("KEG50"), 8), WantedLine(brewhouse.material("BOTTLE500"), 2)]
    order = ordered(brewhouse, 0, lines=lines, customer_reference="#7 *bold*", deliver_to="Quay 3, Heron Lane")
    picked(brewhouse, order, "K1", 6, unit.sscc)
    picked(brewhouse, order, "K1", 2)
    picked(brewhouse, order, "B1", 2)
    event = shipped(brewhouse, order, "DN260302-01", papers=Papers("Ferry haulage", "QM 12", "Ada", "S-77"))
    return shipments().get(event=event)


def test_lots_counts_dates_and_pallets_stand_on_it(shipment: Shipment):
    data = data_of(shipment)
    sscc = next(line[4] for line in data["lines"] if line[4])
    keg, good = "Quillmere Lager, 50 L keg", in_days(100).isoformat()
    assert sorted(data["lines"]) == [
        ["Quillmere Lager, 0.5 L bottle", "B1", in_days(200).isoformat(), "2", ""],
        [keg, "K1", good, "2", ""],
        [keg, "K1", good, "6", sscc],
    ]
    assert [keg, "8", "400 L"] in data["totals"]
    assert (data["title"], data["customer"]) == ("Delivery note DN260302-01", "The Heron Inn")
    assert data["deliver_to"] == ["Quay 3", "Heron Lane"]
    told = {"Order": "O1", "Your order": "#7 *bold*", "Carrier": "Ferry haulage", "Vehicle": "QM 12"}
    assert dict(data["facts"]) == {**told, "Driver": "Ada", "Seal": "S-77"}


def test_it_is_one_page_and_the_same_each_time(shipment: Shipment):
    pdf = note_as_pdf(shipment)
    assert (pdf[:5], pages_of(pdf)) == (b"%PDF-", 1)
    assert note_as_pdf(shipment) == pdf


def test_a_reversed_shipment_says_so(brewhouse: Brewhouse, shipment: Shipment):
    assert data_of(shipment)["reversed"] == ""
    brewhouse.reverse(shipment.event)
    assert data_of(shipments().get(pk=shipment.pk))["reversed"].startswith("This shipment was reversed on")


@pytest.mark.usefixtures("whole_chain")
def test_allergens_are_those_of_all_that_went_into_it(brewhouse: Brewhouse):
    malt = brewhouse.material("PILS")
    data = data_of(shipments().latest("pk"))
    assert data["allergens"] == [
        ["Quillmere Lager, 50 L keg", "none on record", "(nothing is on record of Pilsner malt)"]
    ]
    malt.allergens = ["barley"]
    malt.save()
    data = data_of(shipments().latest("pk"))
    assert data["allergens"] == [["Quillmere Lager, 50 L keg", "cereals containing gluten", ""]]
    assert "Check with the local code" in data["caution"]
