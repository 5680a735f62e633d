"""Cells of records that no other table has: figures with a sign, lists of words, yes and no."""

import re
from decimal import Decimal

from brewery.kernel.tables.cells import BadCell, Form, choice

_FIGURE = re.compile(r"-?\d{1,12}(\.\d{1,12})?", re.ASCII)


def _read_figure(cell: str) -> Decimal:
    if not _FIGURE.fullmatch(cell):
        raise BadCell(f"{cell!r} is no figure; write a plain decimal such as 12.5 or -1, without the unit.")
    return Decimal(cell)


def _read_list(cell: str) -> tuple[str, ...]:
    words = tuple(word.strip() for word in cell.split(";"))
    if not all(words):
        raise BadCell(f"{cell!r} has an empty place; write words with semicolons between them: barley; wheat.")
    return words


FIGURE = Form("plain decimal, with a sign if need be", _read_figure)
LISTED = Form("words with semicolons between them", _read_list)
YES = choice("yes", "no")
