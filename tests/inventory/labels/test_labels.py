"""The brewery's own labels: each of them scans back as the lot, the pallet or the place that it hangs on."""

from datetime import date

import pytest

from inventory.labels.printing import Label
from inventory.labels.sizes import SIZES
from inventory.models import Lot
from inventory.services.labels import NoLabel, lot_labels, pallet_label, place_label
from inventory.services.pallets import load_pallet, make_pallet
from inventory.services.registers import add_location
from inventory.services.scans import Scan, read_scan
from tests.brewhouse import Brewhouse, at
from tests.inventory.labels.made_up import read_back
from tests.ledger import refused
from tests.standing import built_once


@built_once
def stocked(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.stock_up()
    return brewhouse


def scans_of(label: Label) -> list[Scan]:
    """Return what each barcode of the printed label says to the scanner page."""
    return [read_scan(typed) for typed in read_back(label, SIZES["100x70"]).values()]


def test_the_label_of_a_lot_scans_back_as_the_lot(stocked: Brewhouse):
    stocked.deliver(
        "SAAZ", "H-24/0117-ABCDEFGHIJ", "20 kg", supplier_lot="L 88/1", best_before=date(2028, 1, 31), note="2"
    )
    (label,) = lot_labels([stocked.lot("H-24/0117-ABCDEFGHIJ")])
    assert (label.code, label.name) == ("H-24/0117-ABCDEFGHIJ", "Saaz")
    assert label.lines == [
        ("Best before", "2028-01-31"),
        ("Supplier's lot", "L 88/1"),
        ("Supplier", "Stowfield Maltings"),
        ("Received", "2026-03-02"),
    ]
    scans = scans_of(label)
    assert len(scans) == 3
    assert {scan.own_lot for scan in scans} == {stocked.lot("H-24/0117-ABCDEFGHIJ")}


def test_a_lot_without_best_before_says_so_and_one_made_here_when(stocked: Brewhouse):
    stocked.ferment()
    made, bought = lot_labels([stocked.lot("T1"), stocked.lot("H1")])
    assert made.lines == [("Best before", "not given"), ("Made", "2026-03-02")]
    assert bought.lines[:2] == [("Best before", "not given"), ("Supplier's lot", "not given")]


def test_the_label_of_a_pallet_scans_back_as_the_pallet_and_says_what_lies_on_it(stocked: Brewhouse):
    unit = make_pallet(stands_in=stocked.place("STORE"), made_at=at(1), **stocked.by("receiving"))
    assert pallet_label(unit).name == "Empty pallet"
    parts = stocked.parts([("H1", "STORE", "7.5 kg"), ("H2", "STORE", "20 kg")])
    load_pallet(unit=unit, parts=parts, happened_at=at(2), **stocked.by("receiving"))
    label = pallet_label(unit)
    assert (label.code, label.name) == (unit.sscc, "Saaz, Cascade")
    assert label.lines[:2] == [("H1", "Saaz, 7.5 kg"), ("H2", "Cascade, 20 kg")]
    assert label.lines[2][0] == "As of"
    assert {(scan.sscc, scan.location) for scan in scans_of(label)} == {(unit.sscc, unit.location)}


@pytest.mark.parametrize("code", ["STORE", "FV1", "SILO2", "LAB"])
def test_the_label_of_a_place_scans_back_as_the_place(stocked: Brewhouse, code: str):
    assert {scan.location for scan in scans_of(place_label(stocked.place(code)))} == {stocked.place(code)}


@pytest.mark.parametrize(
    ("code", "problem"),
    [
        ("customer:INN", "it is of the kind “customer”"),
        ("B1", "it is of the kind “in process”"),
        ("095212340000000013", "it is of the kind “pallet”"),
        ("Keller 1", "GS1 barcodes take 20 letters, digits and signs at most, and no spaces"),
        ("KÜHL", "GS1 barcodes take 20 letters, digits and signs at most, and no spaces"),
        ("A" * 21, "GS1 barcodes take 20 letters, digits and signs at most, and no spaces"),
    ],
)
def test_what_no_label_can_name_is_refused(stocked: Brewhouse, code: str, problem: str):
    stocked.start_brew("B1", hours=1)
    make_pallet(stands_in=stocked.place("STORE"), made_at=at(1), **stocked.by("receiving"))
    for named in ("Keller 1", "KÜHL", "A" * 21):
        add_location(code=named, name=named, kind="store", **stocked.by("administration"))
    place = stocked.place(code)
    with refused(NoLabel, f"Location {code!r} has no label: {problem}."):
        place_label(place)


def test_a_lot_made_by_mistake_has_no_label(stocked: Brewhouse):
    stocked.reverse(stocked.deliver("SAAZ", "H9", "5 kg", note="9"))
    with refused(NoLabel, "Lot 'H9' has no label: it was recorded by mistake."):
        lot_labels([Lot.objects.get(code="H9")])
