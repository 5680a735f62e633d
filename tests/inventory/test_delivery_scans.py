"""Scans at the dock: what a box, a pallet, a place and a scale say goes into the draft, once.

GTIN and SSCC are of GS1's own demonstration prefix 952; their check digits are tested with the arithmetic.
"""

from datetime import date

import pytest

from brewery.kernel.errors import InvalidInput
from inventory.models import Delivery, DeliveryLine, Location
from inventory.queries.deliveries import line_in_hand
from inventory.services.company import own_gln
from inventory.services.delivery_scans import scan_into_delivery
from inventory.services.draft_refusals import (
    ChangedMeanwhile,
    DraftBooked,
    NothingInHand,
    NothingToReceive,
    OwnLotScanned,
    PalletOnLine,
)
from inventory.services.scan_refusals import MissingPartner, UnknownGtin, WrongCheckDigit
from inventory.services.trade_items import add_trade_item
from tests.brewhouse import Brewhouse, micro, rid
from tests.inventory.dock import Dock
from tests.standing import built_once

GS = "\x1d"
HOPS, SACKS, CROWNS = "09521234543213", "09521234500018", "09521234543220"
SSCC, OTHER_SSCC = "095212345000000018", "095212345000000025"
BOX = f"]C101{HOPS}17280131310300520010SZ-25"
"""Saaz, expires 31 January 2028, 5.2 kg net, batch SZ-25."""
SACK = f"01{SACKS}10PM-7"


@built_once
def dock(brewhouse: Brewhouse) -> Dock:
    """Saaz comes in boxes that say what they weigh, Pilsner malt in sacks of 25 kg, crown corks in any number."""
    items = ((HOPS, "SAAZ", None), (SACKS, "PILS", micro("25 kg")), (CROWNS, "CROWN", None))
    for gtin, material, content in items:
        add_trade_item(
            gtin=gtin,
            material=brewhouse.material(material),
            content_micro=content,
            **brewhouse.by("administration"),
        )
    return Dock(brewhouse)


def scan(dock: Dock, draft: Delivery, *texts: str) -> list[DeliveryLine]:
    """Scan one after the other; return the lines as they are then."""
    for text in texts:
        scan_into_delivery(delivery=draft, text=text, **dock.who)
    draft.refresh_from_db()
    return list(draft.lines.select_related("material", "location").order_by("position"))


def test_a_box_makes_a_line_of_all_that_its_label_says(dock: Dock):
    (line,) = scan(dock, dock.open(), BOX)
    assert (line.material.code, line.supplier_lot, line.best_before) == ("SAAZ", "SZ-25", date(2028, 1, 31))
    assert (line.quantity_micro, line.note_quantity_micro, line.package_micro) == (micro("5.2 kg"),) * 3
    assert (line.package_count, line.lot_code, line.location) == (1, "HO260302-01", None)


def test_a_repeated_scan_is_one_line_and_another_scan_is_another_box(dock: Dock):
    draft = dock.open()
    asked = {**dock.who, "request_id": rid()}
    for _ in range(2):
        scan_into_delivery(delivery=draft, text=BOX, **asked)
    assert draft.lines.count() == 1
    assert len(scan(dock, draft, BOX)) == 2


def test_a_box_goes_where_the_one_before_went_and_a_weight_and_a_place_are_said_of_it(dock: Dock):
    draft = dock.open()
    scan(dock, draft, BOX, "COLD", "5,1 kg", BOX, "5.3", BOX, "5300 g")
    lines = list(draft.lines.select_related("location"))
    assert {line.location.code for line in lines if line.location} == {"COLD"}
    assert [line.quantity_micro for line in lines] == [micro("5.1 kg"), micro("5.3 kg"), micro("5.3 kg")]
    assert [line.note_quantity_micro for line in lines] == [micro("5.2 kg")] * 3
    assert [line.quantity_typed for line in lines] == ["5,1 kg", "5.3", "5300 g"]


def test_a_material_goes_where_it_went_in_the_last_delivery_but_no_other_goes_into_its_silo(dock: Dock):
    earlier = dock.open("MALTINGS")
    dock.add(earlier, "PILS", "100 kg", "SILO2")
    draft = dock.open("MALTINGS")
    sack, box = scan(dock, draft, SACK, BOX)
    assert (sack.location.code, box.location) == ("SILO2", None)


def test_packages_of_fixed_content_are_counted_on_one_line(dock: Dock):
    draft = dock.open("MALTINGS")
    (line,) = scan(dock, draft, SACK, SACK, SACK)
    assert (line.package_count, line.quantity_micro, line.package_micro) == (3, micro("75 kg"), micro("25 kg"))
    lines = scan(dock, draft, "74 kg", SACK, f"01{SACKS}10PM-8", f"01{SACKS}10PM-8{GS}21A1")
    counts = [(line.package_count, line.quantity_micro, line.supplier_lot) for line in lines]
    assert counts == [
        (3, micro("74 kg"), "PM-7"),
        (1, micro("25 kg"), "PM-7"),
        (1, micro("25 kg"), "PM-8"),
        (1, micro("25 kg"), "PM-8"),
    ]


def test_a_count_of_what_is_counted_one_by_one_is_its_quantity(dock: Dock):
    (line,) = scan(dock, dock.open(), f"01{CROWNS}3010000")
    assert line.quantity_micro == micro("10000 each")


def test_boxes_after_a_pallets_number_came_on_it_until_another_is_scanned(dock: Dock):
    draft = dock.open()
    lines = scan(dock, draft, f"00{SSCC}", BOX, BOX, f"00{OTHER_SSCC}", BOX)
    assert [line.sscc for line in lines] == [SSCC, SSCC, OTHER_SSCC]
    dock.say(draft, pallet="")
    assert scan(dock, draft, BOX)[-1].sscc == ""


def test_a_pallet_label_that_says_what_is_on_it_is_one_line_once(dock: Dock):
    draft = dock.open("MALTINGS")
    label = f"00{SSCC}02{SACKS}3740{GS}10PM-7"
    (line,) = scan(dock, draft, label)
    assert (line.sscc, line.package_count, line.quantity_micro) == (SSCC, 40, micro("1000 kg"))
    with pytest.raises(PalletOnLine, match=f"{SSCC} is on line 1"):
        scan(dock, draft, label)


def test_a_label_in_two_barcodes_is_read_in_two_scans(dock: Dock):
    draft = dock.open("MALTINGS")
    (line,) = scan(dock, draft, f"00{SSCC}", f"]C102{SACKS}3740{GS}10PM-7")
    assert (line.sscc, line.package_count, line.supplier_lot) == (SSCC, 40, "PM-7")
    box = scan(dock, draft, f"01{HOPS}", "]C110SZ-25")[-1]
    assert (box.material.code, box.supplier_lot) == ("SAAZ", "SZ-25")
    with pytest.raises(MissingPartner):
        scan(dock, dock.open(), "]C110SZ-25")


def test_a_place_is_scanned_by_its_label_or_typed_by_its_code(dock: Dock):
    draft = dock.open()
    for text in ("COLD", f"414{own_gln()}254COLD"):
        (line,) = scan(dock, draft, *([BOX] if not draft.lines.exists() else []), text)
        assert line.location.code == "COLD"
        dock.change(line, location=None)


def test_a_place_whose_code_looks_like_a_weight_is_the_place(dock: Dock):
    Location.objects.create(code="12", name="Bay 12", kind="store")
    (line,) = scan(dock, dock.open(), BOX, "12")
    assert (line.location.code, line.quantity_micro) == ("12", micro("5.2 kg"))


def test_a_weight_or_a_place_of_nothing_is_refused(dock: Dock):
    draft = dock.open()
    for text in ("5 kg", "COLD"):
        with pytest.raises(NothingInHand):
            scan(dock, draft, text)
    scan(dock, draft, BOX)
    with pytest.raises(InvalidInput, match="kg"):
        scan(dock, draft, "5 L")


def test_what_is_ours_or_unknown_is_refused_in_words(dock: Dock):
    dock.house.deliver("SAAZ", "H1", "1 kg")
    draft = dock.open()
    for text, refusal in (
        ("H1", OwnLotScanned),
        (f"01{HOPS[:-1]}4", WrongCheckDigit),
        ("0109521234000013", UnknownGtin),
        ("]C1414" + "9521234000006", NothingToReceive),
    ):
        with pytest.raises(refusal):
            scan(dock, draft, text)
    assert not draft.lines.exists()


def test_each_of_two_clerks_has_a_line_in_hand(dock: Dock):
    draft, other = dock.open(), Dock(dock.house, "quality")
    scan(dock, draft, BOX)
    scan(other, draft, BOX)
    first, second = scan(dock, draft, "5 kg")
    assert (first.quantity_micro, second.quantity_micro) == (micro("5 kg"), micro("5.2 kg"))
    found = line_in_hand(draft, dock.house.people["quality"])
    assert found is not None
    assert found[0] == second
    dock.remove(second)
    assert line_in_hand(draft, dock.house.people["quality"]) is None


def test_a_weight_that_somebody_else_changed_since_is_not_overwritten(dock: Dock):
    draft, other = dock.open(), Dock(dock.house, "quality")
    (line,) = scan(dock, draft, BOX)
    other.change(line, quantity_micro=micro("5 kg"))
    with pytest.raises(ChangedMeanwhile, match="weight is now 5"):
        scan(dock, draft, "5.1 kg")
    scan(dock, draft, "COLD")


def test_nothing_is_scanned_into_a_booked_delivery(dock: Dock):
    draft = dock.open()
    dock.add(draft, "SAAZ", "5 kg")
    dock.book(draft)
    with pytest.raises(DraftBooked):
        scan(dock, draft, BOX)
