"""Element strings: every identifier that a brewery's labels bear has the form that GS1 gives it.

Source of forms, separators and check digits: GS1 Barcode Syntax Dictionary.
"""

import re
from datetime import date, datetime

import pytest
import time_machine
from biip.gs1_application_identifiers import GS1ApplicationIdentifier
from biip.gs1_digital_link_uris import GS1DigitalLinkURI

from brewery.science.gs1 import KEYS_WITH_A_CHECK_DIGIT, check_digit
from inventory.services.element_strings import GROUP_SEPARATOR, elements_of_link, elements_of_message
from inventory.services.scan_refusals import (
    NoSuchDay,
    TooLong,
    UnreadableScan,
    WrongCheckDigit,
    WrongContent,
)

GTIN = "09521234543213"
TABLE = (
    ("00", "N18", "095212345000000018"),
    ("01", "N14", GTIN),
    ("02", "N14", GTIN),
    ("10", "X..20", "BREW24-0117"),
    ("11", "N6", "250102"),
    ("13", "N6", "250102"),
    ("15", "N6", "250600"),
    ("16", "N6", "250600"),
    ("17", "N6", "250600"),
    ("20", "N2", "07"),
    ("21", "X..20", "S-0001"),
    ("30", "N..8", "40"),
    ("37", "N..8", "40"),
    ("3102", "N6", "002550"),
    ("3200", "N6", "000055"),
    ("3155", "N6", "000100"),
    ("3302", "N6", "002650"),
    ("3352", "N6", "005000"),
    ("3610", "N6", "000001"),
    ("3570", "N6", "000012"),
    ("400", "X..30", "PO-2026/17"),
    ("402", "N17", "95212345000000018"),
    ("410", "N13", "9521234500001"),
    ("412", "N13", "9521234500001"),
    ("414", "N13", "9521234500001"),
    ("416", "N13", "9521234500001"),
    ("417", "N13", "9521234500001"),
    ("254", "X..20", "FV1"),
    ("422", "N3", "203"),
    ("7003", "N10", "2501011230"),
    ("8008", "N8[+N..4]", "25010112"),
    ("8003", "X14[+X..16]", "09521234543213KEG17"),
    ("8004", "X..30", "9521234KEG17"),
)
PARTNERS = {
    **dict.fromkeys(["10", "11", "13", "15", "16", "17", "21", "30", "3102", "3200", "3155"], f"01{GTIN}"),
    **dict.fromkeys(["3302", "3352", "3610", "3570", "7003", "422", "8008", "20"], f"01{GTIN}"),
    "02": f"374{GROUP_SEPARATOR}",
    "37": f"02{GTIN}",
    "254": "4149521234500001",
}
ENDS_BY_ITSELF = {"00", "01", "02", "11", "13", "15", "16", "17", "20", "410", "412", "414", "416", "417"} | {
    "3102",
    "3200",
    "3155",
    "3302",
    "3352",
    "3610",
    "3570",
}
"""Those of a length that readers know beforehand, after which no separator is needed."""


def message(identifier: str, value: str) -> str:
    """Return a barcode's message with the element last, behind what must travel with it."""
    return f"{PARTNERS.get(identifier, '')}{identifier}{value}"


@pytest.mark.parametrize(("identifier", "form", "value"), TABLE, ids=[row[0] for row in TABLE])
def test_an_identifier_is_read_and_one_sign_more_is_refused(identifier: str, form: str, value: str):
    assert elements_of_message(message(identifier, value))[identifier].value == value
    longest = int(re.findall(r"[0-9]+", form)[0])
    if identifier not in ENDS_BY_ITSELF and "[" not in form:
        with pytest.raises((TooLong, WrongContent, NoSuchDay)):
            elements_of_message(message(identifier, value + "7" * (longest + 1 - len(value))))


@pytest.mark.parametrize(("identifier", "form", "value"), TABLE, ids=[row[0] for row in TABLE])
def test_what_is_a_number_takes_no_letter(identifier: str, form: str, value: str):
    if form.startswith("N"):
        with pytest.raises(UnreadableScan):
            elements_of_message(message(identifier, value[:-1] + "x"))


@pytest.mark.parametrize("identifier", [row[0] for row in TABLE])
def test_a_separator_is_wanted_after_what_has_no_length_of_its_own(identifier: str):
    wanted = GS1ApplicationIdentifier.extract(identifier).separator_required
    assert wanted == (identifier not in ENDS_BY_ITSELF)


@pytest.mark.parametrize(("identifier", "form", "value"), TABLE, ids=[row[0] for row in TABLE])
def test_a_check_digit_is_looked_at_wherever_there_is_one(identifier: str, form: str, value: str):
    if identifier in KEYS_WITH_A_CHECK_DIGIT:
        assert check_digit(value[:-1]) == int(value[-1])
        wrong = value[:-1] + str((int(value[-1]) + 1) % 10)
        with pytest.raises(WrongCheckDigit, match=f"its check digit would be {value[-1]}"):
            elements_of_message(message(identifier, wrong))


def test_check_digits_are_those_of_the_syntax_dictionary():
    """The identifiers with the component `csum`, as far as the table has them."""
    ending_in_one = {"00", "01", "02", "402", "410", "412", "414", "416", "417"}
    assert {row[0] for row in TABLE} & KEYS_WITH_A_CHECK_DIGIT == ending_in_one


@time_machine.travel("2026-03-02T12:00:00Z")
def test_the_example_of_biip_is_what_stands_under_its_bars():
    """biip 5.2.0: as_hri gives (01)09521234543213(10)BREW24-0117(15)250600(3102)002550."""
    found = elements_of_message(f"01{GTIN}10BREW24-0117{GROUP_SEPARATOR}152506003102002550")
    line = "".join(f"({identifier}){element.value}" for identifier, element in found.items())
    assert line == "(01)09521234543213(10)BREW24-0117(15)250600(3102)002550"
    assert [element.ai.data_title for element in found.values()] == [
        "GTIN",
        "BATCH/LOT",
        "BEST BEFORE or BEST BY",
        "NET WEIGHT (kg)",
    ]
    assert str(found["3102"].decimal) == "25.50"


def test_the_link_of_biip_goes_there_and_back():
    """biip 5.2.0: the canonical URI of the link is the link."""
    uri = f"https://id.gs1.org/01/{GTIN}/10/L24-0117?15=250600&3103=025500"
    found = elements_of_link(uri)
    assert {identifier: element.value for identifier, element in found.items()} == {
        "01": GTIN,
        "10": "L24-0117",
        "15": "250600",
        "3103": "025500",
    }
    assert GS1DigitalLinkURI.parse(uri).as_canonical_uri() == uri


def test_a_volume_a_time_and_a_pallet_of_biip():
    """biip 5.2.0: (3155)000100 is 0.00100; (7003)2501011230 is 1 January 2025, 12:30; extension digit 0, check 8."""
    assert str(elements_of_message(message("3155", "000100"))["3155"].decimal) == "0.00100"
    assert elements_of_message(message("7003", "2501011230"))["7003"].datetime == datetime(2025, 1, 1, 12, 30)
    sscc = elements_of_message("00095212345000000018")["00"].sscc
    assert sscc is not None
    assert (sscc.extension_digit, sscc.check_digit) == (0, 8)


@pytest.mark.parametrize(
    ("identifier", "value"),
    [
        ("15", "260431"),
        ("15", "260230"),
        ("15", "261301"),
        ("15", "260631"),
        ("7003", "2601002460"),
        ("7003", "2506001230"),
    ],
    ids=["31 April", "30 February", "month 13", "31 June", "24:60", "a time of no day"],
)
def test_a_day_that_is_none_is_refused(identifier: str, value: str):
    """GS1 Barcode Syntax Dictionary: yymmd0 lets the day be 00, yymmdd does not."""
    with pytest.raises(NoSuchDay):
        elements_of_message(message(identifier, value))


@pytest.mark.parametrize(
    ("year", "printed", "day"),
    [
        (2026, "760101", date(2076, 1, 1)),
        (2026, "770101", date(1977, 1, 1)),
        (2060, "100101", date(2110, 1, 1)),
        (2060, "110101", date(2011, 1, 1)),
    ],
)
def test_a_year_is_the_nearest_that_it_can_be(year: int, printed: str, day: date):
    """GS1 Barcode Syntax Dictionary, lint_yymmd0.c: 51 or more ahead is past, 50 or more behind is to come."""
    with time_machine.travel(f"{year}-03-02T12:00:00Z"):
        assert elements_of_message(message("15", printed))["15"].date == day
