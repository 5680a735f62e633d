"""Barcodes as SVG pictures with their true size: GS1-128, GS1 DataMatrix, QR.

Modules are whole dots of a label printer of 203 dpi, eight to the millimetre: a width between would be printed unevenly
and read badly.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import segno
import zint

from inventory.labels.elements import Element, bracketed, human_readable

DOT_MM = 0.125
BAR_MODULES_MM = (4 * DOT_MM, 3 * DOT_MM, 2 * DOT_MM)
"""Widths of a bar, the widest that fits is taken. GS1 General Specifications: 0.495 mm or more on a pallet's label."""

SQUARE_MODULE_MM, SMALL_MODULE_MM = 4 * DOT_MM, 3 * DOT_MM
BAR_QUIET_MODULES = 10
DATA_MATRIX_QUIET_MODULES = 1
QR_QUIET_MODULES = 4


@dataclass(frozen=True, slots=True)
class Symbol:
    """One barcode: the picture, its size with the quiet zone in it, and the line that people read under it."""

    svg: str
    width_mm: float
    height_mm: float
    text: str = ""


def gs1_128(elements: Sequence[Element], *, widest_mm: float, height_mm: float) -> Symbol | None:
    """Return the elements as one GS1-128 as wide as fits, or None where it does not fit."""
    symbol = _zint(zint.Symbology.GS1_128, elements)
    modules = symbol.width + 2 * BAR_QUIET_MODULES
    module_mm = next((width for width in BAR_MODULES_MM if modules * width <= widest_mm), None)
    if module_mm is None:
        return None
    bars = [(round(bar.x / 2) + BAR_QUIET_MODULES, 0, round(bar.width / 2), 1) for bar in symbol.vector.rectangles]
    svg = _svg(modules, 1, bars)
    return Symbol(svg, modules * module_mm, height_mm, human_readable(elements))


def data_matrix(elements: Sequence[Element], *, is_small: bool) -> Symbol:
    """Return the elements as one GS1 DataMatrix."""
    module_mm = _module_mm(is_small)
    symbol = _zint(zint.Symbology.DATAMATRIX, elements)
    quiet = DATA_MATRIX_QUIET_MODULES
    side = symbol.width + 2 * quiet
    squares = [
        (round(box.x / 2) + quiet, round(box.y / 2) + quiet, round(box.width / 2), round(box.height / 2))
        for box in symbol.vector.rectangles
    ]
    return Symbol(_svg(side, side, squares), side * module_mm, side * module_mm)


def qr_code(link: str, *, is_small: bool) -> Symbol:
    """Return a link as a QR code."""
    module_mm = _module_mm(is_small)
    rows = segno.make_qr(link, error="m", boost_error=False).matrix
    quiet = QR_QUIET_MODULES
    side = len(rows) + 2 * quiet
    squares = [(x + quiet, y + quiet, 1, 1) for y, row in enumerate(rows) for x, dark in enumerate(row) if dark]
    return Symbol(_svg(side, side, squares), side * module_mm, side * module_mm)


def _module_mm(is_small: bool) -> float:
    return SMALL_MODULE_MM if is_small else SQUARE_MODULE_MM


def _zint(symbology: zint.Symbology, elements: Sequence[Element]) -> zint.Symbol:
    symbol = zint.Symbol()
    symbol.symbology = symbology
    symbol.input_mode = zint.InputMode.GS1
    symbol.show_text = False
    if symbology == zint.Symbology.DATAMATRIX:
        symbol.option_3 = zint.DataMatrixOptions.SQUARE
    symbol.encode(bracketed(elements))
    symbol.buffer_vector()
    return symbol


def _svg(width: int, height: int, boxes: Iterable[tuple[int, int, int, int]]) -> str:
    path = "".join(f"M{x} {y}h{across}v{down}h-{across}z" for x, y, across, down in boxes)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" preserveAspectRatio="none"'
        f' width="{width}" height="{height}"><path d="{path}"/></svg>'
    )
