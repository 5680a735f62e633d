"""Cells of tables that name what only the stock knows: lot codes, generations of yeast."""

import re

from brewery.kernel.tables.cells import WHOLE, BadCell, Form
from inventory.models.lots import LOT_CODE


def _read_lot(cell: str) -> str:
    if not re.fullmatch(LOT_CODE, cell):
        raise BadCell(
            f"{cell!r} is no lot code: 1 to 20 letters, digits or signs that a GS1 barcode can carry, "
            "without spaces or brackets."
        )
    return cell


def _read_generation(cell: str) -> int:
    generation: int = WHOLE.read(cell)
    if not 1 <= generation <= 999:
        raise BadCell(f"{cell!r} is no generation; a bought culture is 1.")
    return generation


LOT = Form("lot code", _read_lot)
GENERATION = Form("whole number from 1", _read_generation)
