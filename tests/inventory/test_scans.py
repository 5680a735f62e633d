"""Scans: GS1's own examples say what they should, and what is wrong says so by name.

Elements of GS1 examples that the syntax dictionary, biip or the GS1 member organisations publish are named in place;
prefix 952 is GS1's own for demonstrations.
"""

from datetime import date
from uuid import uuid4

import pytest
import time_machine

from brewery.kernel.errors import InvalidInput
from inventory.services.company import own_gln
from inventory.services.scan_refusals import (
    MissingPartner,
    NoSuchDay,
    SaidTwice,
    TooLong,
    UnknownGtin,
    UnknownIdentifier,
    UnknownLabel,
    UnreadableScan,
    WrongCheckDigit,
    WrongContent,
    WrongPartner,
)
from inventory.services.scans import Scan, read_scan
from inventory.services.trade_items import add_trade_item
from tests.brewhouse import Brewhouse, micro
from tests.ledger import refused
from tests.standing import built_once

GS = "\x1d"
HOPS = "09521234543213"
CASE = "09521234500018"
LINK = "https://id.gs1.org"


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """GTIN 09521234543213 is Saaz in boxes of 5 kg, 09521234500018 is isinglass in no fixed size."""
    add_trade_item(
        gtin=HOPS,
        material=brewhouse.material("SAAZ"),
        name="Saaz, box",
        content_micro=micro("5 kg"),
        **brewhouse.by("administration"),
    )
    add_trade_item(gtin=CASE, material=brewhouse.material("ISINGLASS"), **brewhouse.by("administration"))
    return brewhouse


def said(scan: Scan) -> dict[str, object]:
    """Return what the scan says besides its text and its trade item."""
    named = {name: getattr(scan, name) for name in Scan.__dataclass_fields__ if name not in ("text", "trade_item")}
    return {name: value for name, value in named.items() if value not in (None, "")}


@time_machine.travel("2026-03-02T12:00:00Z")
@pytest.mark.parametrize("symbology", ["]C1", "]e0", "]d2", "]Q3", "]J1", ""])
def test_the_example_of_biip_says_all_that_is_on_the_box(house: Brewhouse, symbology: str):
    """biip 5.2.0: (01)09521234543213(10)BREW24-0117(15)250600(3102)002550; day 00 is the last of the month."""
    scan = read_scan(f"{symbology}01{HOPS}10BREW24-0117{GS}152506003102002550")
    assert said(scan) == {
        "gtin": HOPS,
        "material": house.material("SAAZ"),
        "lot": "BREW24-0117",
        "best_before": date(2025, 6, 30),
        "net_micro": 25_500_000,
    }
    assert scan.quantity_micro == 25_500_000


@time_machine.travel("2026-03-02T12:00:00Z")
def test_the_same_as_a_digital_link_says_the_same(house: Brewhouse):
    """biip 5.2.0: a GS1 Digital Link URI with the lot in the path, date and weight in the query."""
    scan = read_scan(f"{LINK}/01/{HOPS}/10/L24-0117?15=250600&3103=025500")
    assert (scan.lot, scan.best_before, scan.net_micro) == ("L24-0117", date(2025, 6, 30), 25_500_000)
    elsewhere = read_scan(f"]Q1HTTP://hops.example/products/01/{HOPS.lstrip('0')}?linkType=all&10=L24-0117")
    assert (elsewhere.gtin, elsewhere.lot) == (HOPS, "L24-0117")


def test_signs_of_a_link_are_decoded(house: Brewhouse):
    assert read_scan(f"{LINK}/01/{HOPS}/10/A%2FB%2B1").lot == "A/B+1"


def test_a_volume_is_in_litres(house: Brewhouse):
    """biip 5.2.0: (3155)000100 is 0.00100 L."""
    assert read_scan(f"01{CASE}3155000100").net_micro == 1_000


@pytest.mark.parametrize(
    ("gtin", "measure", "net_micro"),
    [
        (HOPS, "3200000011", 4_989_516),  # 11 lb at 0.45359237 kg (Weights and Measures Act 1985, Schedule 1)
        (CASE, "3610000001", 3_785_412),  # 1 US gal of 3.785411784 L (NIST Handbook 44, Appendix C)
        (HOPS, "3150000005", None),  # litres say nothing of what is weighed
        (CASE, "3100000005", None),
        (HOPS, "3300000005", None),  # a gross weight is no net weight
    ],
)
def test_what_is_measured_is_told_in_the_unit_of_the_material(
    house: Brewhouse, gtin: str, measure: str, net_micro: int | None
):
    assert read_scan(f"01{gtin}{measure}").net_micro == net_micro


@pytest.mark.parametrize(
    ("printed", "day"),
    [("990701", date(1999, 7, 1)), ("990800", date(1999, 8, 31)), ("000615", date(2000, 6, 15))],
)
def test_days_are_read_as_gs1_denmark_does(house: Brewhouse, printed: str, day: date):
    with time_machine.travel("2010-03-02T12:00:00Z"):
        assert read_scan(f"01{HOPS}11{printed}").made_on == day


@pytest.mark.parametrize(
    ("year", "printed", "read"), [(2026, "760100", 2076), (2026, "770100", 1977), (2027, "770100", 2077)]
)
def test_the_century_moves_with_the_clock(house: Brewhouse, year: int, printed: str, read: int):
    """GS1 Barcode Syntax Dictionary, lint_yymmd0.c: 51 years or more ahead is the century before."""
    with time_machine.travel(f"{year}-03-02T12:00:00Z"):
        assert read_scan(f"01{HOPS}15{printed}").best_before == date(read, 1, 31)


@time_machine.travel("2026-03-02T12:00:00Z")
def test_dates_are_told_apart(house: Brewhouse):
    scan = read_scan(f"01{HOPS}11250102132501031525010417250105")
    assert (scan.made_on, scan.packed_on, scan.best_before) == (
        date(2025, 1, 2),
        date(2025, 1, 3),
        date(2025, 1, 4),
    )
    assert read_scan(f"01{HOPS}17250105").best_before == date(2025, 1, 5)
    assert read_scan(f"01{HOPS}70032501011230").best_before == date(2025, 1, 1)  # biip 5.2.0


def test_february_of_a_leap_year_ends_on_the_29th(house: Brewhouse):
    with time_machine.travel("2026-03-02T12:00:00Z"):
        assert read_scan(f"01{HOPS}15280200").best_before == date(2028, 2, 29)
        assert read_scan(f"01{HOPS}15270200").best_before == date(2027, 2, 28)


@pytest.mark.parametrize("text", [HOPS, HOPS[1:], f"]E0{HOPS[1:]}", f"]I1{HOPS}", f"01{HOPS}", f"]C101{HOPS}\r\n"])
def test_a_gtin_alone_says_what_it_is_and_how_much_one_holds(house: Brewhouse, text: str):
    scan = read_scan(text)
    assert said(scan) == {"gtin": HOPS, "material": house.material("SAAZ")}
    assert scan.quantity_micro == micro("5 kg")
    assert read_scan(CASE).quantity_micro is None


@pytest.mark.parametrize(
    "gtin",
    ["6291041500213", "7300011000017", "8904000210037"],
    ids=["GS1 Hong Kong", "GS1 Sweden", "GS1 India"],
)
def test_published_gtins_are_read(house: Brewhouse, gtin: str):
    add_trade_item(gtin=gtin, material=house.material("GYPSUM"), **house.by("administration"))
    assert read_scan(f"]E0{gtin}").gtin == f"0{gtin}"
    wrong = gtin[:-1] + str((int(gtin[-1]) + 1) % 10)
    sentence = f"GTIN {wrong} ends in {wrong[-1]}; its check digit would be {gtin[-1]}."
    with refused(WrongCheckDigit, sentence, field="text"):
        read_scan(f"]E0{wrong}")


@pytest.mark.parametrize(
    "number", ["376104250021234569", "095212345000000018"], ids=["biip 5.2.0, SSCC", "biip 5.2.0, SSCC of 952"]
)
def test_an_sscc_is_read_alone_and_as_an_element(house: Brewhouse, number: str):
    for text in (number, f"00{number}", f"]C100{number}", f"{LINK}/00/{number}"):
        assert said(read_scan(text)) == {"sscc": number}


def test_a_pallet_and_what_is_on_it(house: Brewhouse):
    scan = read_scan(f"]C10009521234500000001802{HOPS}3740{GS}10L1")
    assert (scan.sscc, scan.gtin, scan.count, scan.lot) == ("095212345000000018", HOPS, 40, "L1")
    assert scan.quantity_micro == micro("200 kg")


def test_the_contents_of_a_pallet_may_stand_in_a_barcode_of_their_own(house: Brewhouse):
    assert read_scan(f"02{HOPS}374").count == 4


def test_a_count_and_a_serial(house: Brewhouse):
    scan = read_scan(f"01{HOPS}303{GS}21S-0001")
    assert (scan.count, scan.serial, scan.quantity_micro) == (3, "S-0001", micro("15 kg"))


def test_separators_that_are_not_needed_do_no_harm(house: Brewhouse):
    """GS1 General Specifications, 7.8.6: a separator may follow any element string."""
    assert read_scan(f"{GS}01{HOPS}{GS}10L1{GS}").lot == "L1"


def test_what_is_printed_under_a_barcode_may_be_typed(house: Brewhouse):
    assert read_scan(f"(01){HOPS}(10)L-1(3103)005000").net_micro == micro("5 kg")


@pytest.mark.parametrize(
    ("text", "error", "sentence"),
    [
        ("0109521234543214", WrongCheckDigit, "GTIN 09521234543214 ends in 4; its check digit would be 3."),
        (f"{LINK}/01/09521234543214", WrongCheckDigit, "GTIN 09521234543214 ends in 4; its check digit would be 3."),
        ("095212345000000017", WrongCheckDigit, "SSCC 095212345000000017 ends in 7; its check digit would be 8."),
        ("4149521234500002", WrongCheckDigit, "LOC No. 9521234500002 ends in 2; its check digit would be 1."),
        (
            f"01{HOPS}10{'A' * 21}",
            TooLong,
            f"(10) BATCH/LOT takes at most 20 characters; '{'A' * 21}' is longer.",
        ),
        (
            f"{LINK}/01/{HOPS}/10/{'A' * 21}",
            TooLong,
            f"(10) BATCH/LOT takes at most 20 characters; '{'A' * 21}' is longer.",
        ),
        # Without the check, biip reads a best-before date out of the end of this lot.
        (
            f"01{HOPS}10ABCDEFGHIJKLMNOPQRST15260101",
            TooLong,
            "(10) BATCH/LOT takes at most 20 characters; 'ABCDEFGHIJKLMNOPQRST15260101' is longer.",
        ),
        (
            f"01{HOPS}10LOT#1",
            WrongContent,
            "(10) BATCH/LOT cannot be 'LOT#1': '#' is no character that a GS1 barcode holds.",
        ),
        (
            f"01{HOPS}10LOT 1",
            WrongContent,
            "(10) BATCH/LOT cannot be 'LOT 1': ' ' is no character that a GS1 barcode holds.",
        ),
        (f"01{HOPS}15260230", NoSuchDay, "(15) BEST BEFORE or BEST BY 260230 is no day of the calendar."),
        (f"01{HOPS}15261301", NoSuchDay, "(15) BEST BEFORE or BEST BY 261301 is no day of the calendar."),
        (f"01{HOPS}15260001", NoSuchDay, "(15) BEST BEFORE or BEST BY 260001 is no day of the calendar."),
        (f"01{HOPS}17260631", NoSuchDay, "(17) USE BY or EXPIRY 260631 is no day of the calendar."),
        (f"01{HOPS}70032501012460", NoSuchDay, "(7003) EXPIRY TIME 2501012460 is no day of the calendar."),
        (f"01{HOPS}70032501001230", NoSuchDay, "(7003) EXPIRY TIME 2501001230 is no day of the calendar."),
        (
            f"(01){HOPS}(10)LOT 1",
            WrongContent,
            "(10) BATCH/LOT cannot be 'LOT 1': ' ' is no character that a GS1 barcode holds.",
        ),
        (f"01{HOPS}1526", WrongContent, "(15) BEST BEFORE or BEST BY cannot be '26': it is too short."),
        (f"01{HOPS}15xx0101", WrongContent, "(15) BEST BEFORE or BEST BY cannot be 'xx0101': it is a number."),
        ("010952123454", WrongCheckDigit, "GTIN 010952123454 ends in 4; its check digit would be 0."),
        (f"01{HOPS}XY", UnknownIdentifier, "'XY' begins with no application identifier that GS1 knows."),
        ("]C1050123", UnknownIdentifier, "'050123' begins with no application identifier that GS1 knows."),
        (f"01{HOPS}10A{GS}10B", SaidTwice, "(10) stands there twice, as 'A' and as 'B'."),
        (f"01{HOPS}374", WrongPartner, "(01) and (37) must not stand on one label."),
        (f"01{HOPS}02{HOPS}374", WrongPartner, "(01) and (02) must not stand on one label."),
        ("374", MissingPartner, "(37) COUNT means nothing without (02) or (8026)."),
        (f"02{HOPS}", MissingPartner, "(02) CONTENT means nothing without (37)."),
        ("10LOT1", MissingPartner, "(10) BATCH/LOT means nothing without (01) or (02) or (03) or (8006) or (8026)."),
        ("3102002550", MissingPartner, "(3102) NET WEIGHT (kg) means nothing without (01) or (02)."),
        ("254FV1", MissingPartner, "(254) GLN EXTENSION COMPONENT means nothing without (414)."),
        ("06291041500213", UnknownGtin, "GTIN 06291041500213 is not known here."),
        ("hello", UnreadableScan, "'hello' is neither a GS1 barcode nor a code of this brewery."),
        ("", UnreadableScan, "'' is neither a GS1 barcode nor a code of this brewery."),
        ("]C1", UnreadableScan, "'' is neither a GS1 barcode nor a code of this brewery."),
        (f"]C001{HOPS}", UnreadableScan, f"'01{HOPS}' is neither a GS1 barcode nor a code of this brewery."),
        ("https://quillmere.example/hops", UnreadableScan, None),
        (f"{LINK}/01/{HOPS}/21/S1/10/L1", UnreadableScan, None),
        (f"{LINK}/01", UnreadableScan, None),
        ("http://[", UnreadableScan, None),
        (f"(01){HOPS}(10)A(B)", UnreadableScan, None),
        ("１２３４５６７８", UnreadableScan, None),
        ("\x00", UnreadableScan, None),
        ("\ud800", UnreadableScan, None),
    ],
)
def test_what_is_wrong_is_said(house: Brewhouse, text: str, error: type[UnreadableScan], sentence: str | None):
    if sentence is None:
        sentence = f"{text!r} is neither a GS1 barcode nor a code of this brewery."
    with refused(error, sentence, field="text"):
        read_scan(text)


def test_an_unknown_gtin_is_given_for_the_register(house: Brewhouse):
    with pytest.raises(UnknownGtin) as refusal:
        read_scan("6291041500213")
    assert refusal.value.facts == {"gtin": "06291041500213"}


# The brewery's own labels and codes


def test_our_own_lot_label_names_the_lot(house: Brewhouse):
    house.deliver("SAAZ", "H-24/1", "5 kg")
    for text in (f"]C1414{own_gln()}91H-24/1", f"{LINK}/414/{own_gln()}?91=H-24%2F1", "H-24/1", "]Q1H-24/1"):
        assert said(read_scan(text)) == {"own_lot": house.lot("H-24/1"), "material": house.material("SAAZ")}


def test_our_own_location_label_names_the_place(house: Brewhouse):
    for text in (f"]C1414{own_gln()}254FV1", f"{LINK}/414/{own_gln()}/254/FV1", "FV1"):
        assert said(read_scan(text)) == {"location": house.place("FV1")}


def test_labels_of_other_companies_are_not_taken_for_ours(house: Brewhouse):
    """9521234500001 is another location number than ours, and (91) is for each company to use as it likes."""
    house.deliver("SAAZ", "H1", "5 kg")
    assert said(read_scan("414952123450000191H1")) == {}
    assert said(read_scan("4149521234500001254FV1")) == {}
    assert said(read_scan("91H1")) == {}


def test_our_label_of_a_lot_that_never_was_is_told(house: Brewhouse):
    event = house.deliver("SAAZ", "H1", "5 kg")
    house.reverse(event)
    with refused(UnknownLabel, "The label names lot 'H1' of this brewery; there is none."):
        read_scan(f"414{own_gln()}91H1")
    with refused(UnknownLabel, "The label names location 'FV9' of this brewery; there is none."):
        read_scan(f"414{own_gln()}254FV9")


def test_a_batch_number_is_our_lot_only_where_we_made_it(house: Brewhouse):
    house.whole_chain()
    add_trade_item(gtin="09521234500025", material=house.material("KEG50"), **house.by("administration"))
    assert read_scan("010952123450002510KEG1").own_lot == house.lot("KEG1")
    assert read_scan(f"01{HOPS}10H1").own_lot is None
    assert read_scan("010952123450002510OTHER").own_lot is None


def test_a_place_outside_is_not_scanned(house: Brewhouse):
    with pytest.raises(UnreadableScan):
        read_scan("customer:INN")


# The register


def test_a_gtin_is_entered_once(house: Brewhouse):
    asked = {"gtin": "6291041500213", "material": house.material("PILS"), "request_id": uuid4()}
    item = add_trade_item(**asked, actor=house.people["administration"])
    assert (item.gtin, item.name, item.content_micro) == ("06291041500213", "", None)
    assert add_trade_item(**asked, actor=house.people["administration"]) == item
    with refused(InvalidInput, "gtin: '06291041500213' is not valid. It stands for Pilsner malt already."):
        add_trade_item(gtin="06291041500213", material=house.material("SAAZ"), **house.by("administration"))


def test_what_is_no_gtin_is_not_entered(house: Brewhouse):
    sentence = "gtin: '6291041500214' is not valid. GTIN 6291041500214 ends in 4; its check digit would be 3."
    with refused(InvalidInput, sentence, field="gtin"):
        add_trade_item(gtin="6291041500214", material=house.material("SAAZ"), **house.by("administration"))


def test_a_trade_item_of_nothing_is_not_entered(house: Brewhouse):
    with refused(InvalidInput, "content: '0 kg' is not valid. Give what one item holds, above zero.", field="content"):
        add_trade_item(
            gtin="6291041500213", material=house.material("SAAZ"), content_micro=0, **house.by("administration")
        )
