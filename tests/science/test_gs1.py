"""GS1 numbers, against published worked examples and against biip."""

import biip
import pytest
from biip.checksums import gs1_standard_check_digit
from hypothesis import given
from hypothesis import strategies as some

from brewery.science.gs1 import (
    CSET_82,
    Gs1Error,
    check_digit,
    gln,
    gtin_14,
    has_right_check_digit,
    missing_partner,
    pairing_of,
    sscc,
    wrong_partner,
)

DIGITS = some.text("0123456789", min_size=1, max_size=30)


@pytest.mark.parametrize(
    ("payload", "digit", "source"),
    [
        ("629104150021", 3, "GS1 Hong Kong, gs1.org: check digit calculator's worked example"),
        ("730001100001", 7, "GS1 Sweden: check digit's worked example"),
        ("890400021003", 7, "GS1 India: check digit's worked example"),
        ("37610425002123456", 9, "biip 5.2.0, SSCC"),
        ("09521234500000001", 8, "biip 5.2.0, SSCC"),
    ],
)
def test_published_check_digits_come_out(payload: str, digit: int, source: str):
    assert check_digit(payload) == digit, source
    assert has_right_check_digit(f"{payload}{digit}")
    assert not any(has_right_check_digit(f"{payload}{other}") for other in range(10) if other != digit)


@given(DIGITS)
def test_check_digits_are_those_of_biip(payload: str):
    assert check_digit(payload) == gs1_standard_check_digit(payload)


@given(DIGITS, some.integers(0, 28), some.integers(1, 9))
def test_one_wrong_digit_is_always_found(payload: str, place: int, by: int):
    """The weights 1 and 3 have no common factor with 10, so that a change of one digit always changes the sum."""
    number = f"{payload}{check_digit(payload)}"
    place %= len(number)
    other = (int(number[place]) + by) % 10
    assert not has_right_check_digit(f"{number[:place]}{other}{number[place + 1 :]}")


@pytest.mark.parametrize("number", ["", "5", "12a", "-12", "１２"])
def test_what_is_no_number_has_no_right_check_digit(number: str):
    assert not has_right_check_digit(number)


def test_a_letter_has_no_check_digit():
    with pytest.raises(Gs1Error, match="'12a' is not a number"):
        check_digit("12a")


@pytest.mark.parametrize(
    ("number", "kept"),
    [
        ("6291041500213", "06291041500213"),
        ("7300011000017", "07300011000017"),
        ("8904000210037", "08904000210037"),
        ("09521234543213", "09521234543213"),
        ("96385074", "00000096385074"),
        ("614141123452", "00614141123452"),
    ],
)
def test_a_gtin_is_kept_with_14_digits(number: str, kept: str):
    """The first three: GS1 Hong Kong, Sweden, India. 96385074 and 614141123452: GS1 examples, from memory."""
    assert gtin_14(number) == kept


@pytest.mark.parametrize(
    ("number", "sentence"),
    [
        ("6291041500214", "GTIN 6291041500214 ends in 4; its check digit would be 3."),
        ("123", "'123' is no GTIN: that is 8, 12, 13 or 14 digits."),
        ("629104150021x", "'629104150021x' is no GTIN: that is 8, 12, 13 or 14 digits."),
    ],
)
def test_what_is_no_gtin_is_refused(number: str, sentence: str):
    with pytest.raises(Gs1Error) as refused:
        gtin_14(number)
    assert str(refused.value) == sentence


def test_pallets_are_numbered_under_the_company_prefix():
    """biip 5.2.0: payload 09521234500000001 has the check digit 8."""
    assert sscc("9521234", 500000001) == "095212345000000018"
    assert sscc("9521234", 1, extension=3) == "395212340000000014"
    assert biip.parse("395212340000000014").sscc is not None


def test_a_serial_that_does_not_fit_is_refused():
    assert sscc("9521234", 999_999_999).startswith("09521234999999999")
    with pytest.raises(Gs1Error, match="Serial reference 1000000000 does not fit 9 digits behind 9521234"):
        sscc("9521234", 1_000_000_000)


def test_a_location_number_is_one_that_biip_takes():
    """9521234500001 stands in GS1's own EPCIS examples."""
    assert gln("9521234", 50000) == "9521234500001"
    assert biip.parse(f"414{gln('9521234')}").gs1_message.element_strings[0].gln_error is None
    with pytest.raises(Gs1Error, match="does not fit 5 digits"):
        gln("9521234", 100_000)


def test_lots_are_made_of_the_characters_of_set_82():
    """GS1 Barcode Syntax Dictionary, lint_cset82.c: these 82 and no others."""
    listed = "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz"
    assert "".join(sign for sign in map(chr, range(0x250)) if CSET_82.fullmatch(sign)) == "".join(sorted(listed))
    assert len(listed) == 82


@pytest.mark.parametrize(
    ("identifier", "needs"),
    [
        ("02", {"37"}),
        ("10", {"01", "02", "03", "8006", "8026"}),
        ("11", {"01", "02", "03", "8006", "8026"}),
        ("15", {"01", "02", "03", "8006", "8026"}),
        ("17", {"01", "02", "03", "8006", "8026", "255"}),
        ("21", {"01", "03", "8006"}),
        ("30", {"01", "02"}),
        ("37", {"02", "8026"}),
        ("3102", {"01", "02"}),
        ("3200", {"01", "02"}),
        ("3153", {"01", "02"}),
        ("3570", {"01", "02"}),
        ("3610", {"01", "02"}),
        ("3302", {"00", "01"}),
        ("3350", {"00", "01"}),
        ("3630", {"00", "01"}),
        ("254", {"414"}),
        ("7003", {"01", "02", "03"}),
        ("00", set()),
        ("414", set()),
        ("91", set()),
    ],
)
def test_what_must_travel_with_what(identifier: str, needs: set[str]):
    """GS1 Barcode Syntax Dictionary, the `req` attributes."""
    assert pairing_of(identifier).needs == needs
    assert missing_partner(identifier, [identifier]) == needs
    for partner in needs:
        assert missing_partner(identifier, [identifier, partner]) == set()


@pytest.mark.parametrize("other", ["02", "37", "255"])
def test_what_must_not_travel_with_a_gtin(other: str):
    """GS1 Barcode Syntax Dictionary, the `ex` attributes of AI 01."""
    assert wrong_partner("01", ["01", other]) == other
    assert wrong_partner("01", ["01", "10"]) == ""
