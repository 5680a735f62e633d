"""Labels put on pages, as PDF."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Literal

from brewery.kernel.documents import compiled
from inventory.labels.elements import Element, digital_link
from inventory.labels.sizes import Size
from inventory.labels.symbols import Symbol, data_matrix, gs1_128, qr_code

TEMPLATE = Path(__file__).with_name("label.typ")
MARGIN_MM, SMALL_MARGIN_MM = 3.0, 1.5
EDGE_MM = 0.5
"""What of a label's edge stays white, quiet zones or not: rolls are cut no finer."""

BAR_HEIGHT_MM, PALLET_BAR_HEIGHT_MM = 13.0, 32.0
"""GS1 General Specifications: bars on a pallet's label are at least 31.75 mm high."""

MOST_COPIES = 200
SCREEN_DPI = 96.0


@dataclass(frozen=True, slots=True)
class Label:
    """One label: the code in large, what it is, lines of (name, value), and the elements of its barcodes.

    `elements` begin with their key. Of the lines as many are shown as there is room for.
    """

    code: str
    name: str
    lines: list[tuple[str, str]]
    elements: list[Element]


def labels_as_pdf(labels: Sequence[Label], size: Size, copies: int = 1) -> bytes:
    """Return a PDF with so many copies of each label. The same labels give the same bytes."""
    (document,) = _compiled(labels, size, copies, "pdf")
    return document


def labels_as_png(labels: Sequence[Label], size: Size, copies: int = 1, *, dpi: float = SCREEN_DPI) -> list[bytes]:
    """Return the same pages as pictures, as a screen or a printer of that resolution shows them."""
    return _compiled(labels, size, copies, "png", dpi)


def _compiled(
    labels: Sequence[Label], size: Size, copies: int, form: Literal["pdf", "png"], dpi: float | None = None
) -> list[bytes]:
    data = {
        "size": asdict(size),
        "sheet": size.is_sheet,
        "small": size.is_small,
        "margin_mm": SMALL_MARGIN_MM if size.is_small else MARGIN_MM,
        "copies": copies,
        "labels": [_drawn(label, size) for label in labels],
    }
    return compiled(TEMPLATE, data, form, dpi)


def _drawn(label: Label, size: Size) -> dict[str, Any]:
    bar = _bar(label, size)
    return {
        "code": label.code,
        "name": label.name,
        "lines": label.lines,
        "bar": asdict(bar) if bar else None,
        "qr": asdict(qr_code(digital_link(label.elements), is_small=size.is_small)),
        "matrix": asdict(data_matrix(label.elements, is_small=size.is_small)),
    }


def _bar(label: Label, size: Size) -> Symbol | None:
    """Return the GS1-128 of the label; a small one has room for its square symbols alone."""
    if size.is_small:
        return None
    height_mm = PALLET_BAR_HEIGHT_MM if size.is_tall else BAR_HEIGHT_MM
    return gs1_128(label.elements, widest_mm=size.width_mm - 2 * EDGE_MM, height_mm=height_mm)
