"""The duty record as data: for the API, for what is kept of a closed period, and for files."""

from collections.abc import Mapping, Sequence
from typing import Any

from inventory.queries.usage import Period
from traceability.queries.duty_lines import LINES
from traceability.queries.duty_record import DutyRow, litres


def record_as_data(period: Period, rows: Sequence[DutyRow]) -> dict[str, Any]:
    """Return the period as plain data, quantities as exact decimals of litres; only lines that something is on."""
    return {
        "first": period.first.isoformat(),
        "last": period.last.isoformat(),
        "rows": [_row(row) for row in rows],
    }


def _row(row: DutyRow) -> dict[str, Any]:
    beer = row.beer
    return {
        "product": beer.product,
        "name": beer.name,
        "strength": beer.strength,
        "container_l": litres(beer.contents_micro * 10**6) if beer.contents_micro else None,
        "container": beer.container,
        "opening_l": litres(row.opening_pico),
        "late": _lines(row.late),
        "lines": _lines(row.lines),
        "closing_l": litres(row.closing_pico),
    }


def _lines(found: Mapping[str, int]) -> list[dict[str, str]]:
    return [
        {"line": name, "words": words, "litres": litres(found[name])}
        for name, words in LINES.items()
        if found.get(name)
    ]
