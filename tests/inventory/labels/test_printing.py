"""Printed labels: whatever stands on them, an independent reader finds every barcode and what it says.

zxing reads the picture, biip takes apart what zxing read.
"""

import re
import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from inventory.labels.elements import human_readable
from inventory.labels.printing import Label, labels_as_pdf, labels_as_png
from inventory.labels.sizes import SIZES, Size
from inventory.labels.symbols import BAR_MODULES_MM, gs1_128
from inventory.models.lots import LOT_CODE
from tests.inventory.labels.made_up import (
    DOTS_OF_PRINTERS,
    GLN,
    LABELS,
    LARGE,
    LONG_LOT,
    LOT,
    PALLET,
    elements_in,
    read_back,
)
from tests.inventory.labels.pictures import barcodes_on, grey_of

BARS, MATRIX, QR = "]C1", "]d2", "]Q1"
"""Symbology identifiers, ISO/IEC 15424: GS1-128, GS1 DataMatrix, plain QR."""

LOT_SIGNS = "".join(sign for sign in string.printable if re.fullmatch(LOT_CODE, sign))
LOT_CODES = some.text(LOT_SIGNS, min_size=1, max_size=20)


def marked(code: str, name: str = "Saaz", lines: tuple[tuple[str, str], ...] = ()) -> Label:
    return Label(code, name, list(lines), [("414", GLN), ("91", code)])


@pytest.mark.parametrize("dpi", DOTS_OF_PRINTERS)
@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
@pytest.mark.parametrize("label", LABELS.values(), ids=LABELS)
def test_every_barcode_of_every_label_says_the_same_in_every_size(label: Label, size: Size, dpi: float):
    found = read_back(label, size, dpi)
    assert set(found) == ({MATRIX, QR} if size.is_small else {BARS, MATRIX, QR})
    for scan in found.values():
        assert elements_in(scan) == label.elements


def test_what_people_read_stands_under_the_bars():
    """GS1 General Specifications: the human-readable interpretation has the identifiers in brackets."""
    assert human_readable(LOT.elements) == f"(414){GLN}(91){LONG_LOT}"
    drawn = gs1_128(PALLET.elements, widest_mm=99, height_mm=32)
    assert drawn is not None
    assert drawn.text == "(00)095212345000000018"


@settings(max_examples=40, deadline=None)
@given(LOT_CODES)
def test_a_lot_of_any_code_is_read_back_from_its_label(code: str):
    found = read_back(marked(code), SIZES["100x70"])
    assert set(found) == {BARS, MATRIX, QR}
    assert [elements_in(scan) for scan in found.values()] == [[("414", GLN), ("91", code)]] * 3


@given(some.text(LOT_SIGNS, min_size=20, max_size=20))
def test_the_longest_code_fits_the_bars_of_every_label_that_has_bars(code: str):
    for size in LARGE:
        assert gs1_128([("414", GLN), ("91", code)], widest_mm=size.width_mm - 1, height_mm=13) is not None


def test_bars_that_do_not_fit_are_left_out_and_never_squeezed():
    """GS1 General Specifications: no module is narrower than 0.25 mm."""
    assert gs1_128(LOT.elements, widest_mm=60, height_mm=13) is None
    assert min(BAR_MODULES_MM) >= 0.25


def test_a_pallets_bars_are_as_gs1_wants_them_on_a_pallet():
    """GS1 General Specifications, logistic label: modules of 0.495 to 1.016 mm, bars of 31.75 mm or more."""
    for code in ("100x150", "a4-4"):
        size = SIZES[code]
        assert size.is_tall
        drawn = gs1_128(PALLET.elements, widest_mm=size.width_mm - 1, height_mm=32)
        assert drawn is not None
        modules = int(re.findall(r'viewBox="0 0 (\d+)', drawn.svg)[0])
        assert 0.495 <= drawn.width_mm / modules <= 1.016
        assert drawn.height_mm >= 31.75


@settings(max_examples=25, deadline=None)
@given(
    some.text(max_size=200),
    some.lists(some.tuples(some.text(max_size=30), some.text(max_size=60)), max_size=30),
    some.sampled_from(list(SIZES.values())),
)
def test_no_text_hides_a_barcode_or_is_read_as_markup(name: str, lines: list[tuple[str, str]], size: Size):
    found = read_back(marked("H1", name, tuple(lines)), size)
    assert {tuple(elements_in(scan)) for scan in found.values()} == {(("414", GLN), ("91", "H1"))}


def test_markup_is_printed_as_it_was_typed():
    typed = Label("#pagebreak()", "= Title *bold* $x$ @cite", [("#panic()", "<label>")], LOT.elements)
    assert len(labels_as_png([typed], SIZES["100x70"])) == 1


@pytest.mark.parametrize(("bare", "accented"), [("Z", "Ž"), ("A", "Å"), ("U", "Ű"), ("E", "Ê")])
@pytest.mark.parametrize("code", ["100x70", "62x29"])
def test_no_accent_is_cut_off(code: str, bare: str, accented: str):
    """What the two letters differ by is as high as an accent is: a tenth of the letter at least."""
    size = SIZES[code]
    without, with_accent = (rows_of(marked("H1", letter * 3), size) for letter in (bare, accented))
    differing = [index for index, (one, other) in enumerate(zip(without, with_accent, strict=True)) if one != other]
    empty = rows_of(marked("H1", ""), size)
    letter = [index for index, (one, other) in enumerate(zip(without, empty, strict=True)) if one != other]
    above = [index for index in differing if index < letter[0]]
    assert len(above) >= len(letter) / 10


def rows_of(label: Label, size: Size) -> list[bytes]:
    (page,) = labels_as_png([label], size, dpi=300)
    width, height, grey = grey_of(page)
    return [grey[row * width : (row + 1) * width] for row in range(height)]


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
def test_so_many_copies_are_printed_of_each(size: Size):
    """Ten and ten: on a roll a label a page, on a sheet as many as there is room for."""
    a_page = size.columns * size.rows
    pages = labels_as_png([LOT, PALLET], size, 10, dpi=203.2)
    assert len(pages) == -(-20 // a_page)
    symbols = sum(len(barcodes_on(page)) for page in pages)
    assert symbols == 20 * (2 if size.is_small else 3)


def test_the_same_labels_are_the_same_bytes():
    first, second = (labels_as_pdf([LOT, PALLET], SIZES["a4-8"], 3) for _ in range(2))
    assert first == second
    assert first.startswith(b"%PDF-")
