"""Traces and mass balances as plain text, for the terminal and for paper."""

from collections.abc import Iterator, Sequence

from brewery.kernel.clock import on_the_wall
from inventory.models import Location, Lot
from traceability.queries.graph import ALL_KINDS, Direction
from traceability.queries.mass_balance import MassBalance
from traceability.queries.report import Place, Report, Row, in_words


def lines_of_trace(report: Report) -> Iterator[str]:
    """Yield the trace as text, the raw lots first where it goes back."""
    yield _heading(report)
    if report.trace.direction is Direction.BACK:
        raw = [row for row in report.rows if row.lot.supplier_id]
        made = [row for row in report.rows if not row.lot.supplier_id]
        yield from _section(f"Raw lots in it ({len(raw)})", _BACK_RAW, [_raw_cells(row) for row in raw])
        yield from _section(f"Lots made on the way ({len(made)})", _BACK_MADE, [_made_cells(row) for row in made])
        return
    yield from _section(
        f"Lots that it went into ({len(report.rows)})", _FORWARD, [_forward_cells(row) for row in report.rows]
    )
    yield from _section("Where it is now", _CUSTOMERS, _held_by(report))


def lines_of_balance(balance: MassBalance, lot: Lot) -> Iterator[str]:
    """Yield the mass balance as text, the sum and what is left unexplained at the end."""
    unit = lot.material.base_unit
    rows = [("received", in_words(balance.received_micro, unit))]
    rows += [(where.value, in_words(amount, unit)) for where, amount in balance.by_whereabouts.items()]
    rows += [("accounted for", in_words(balance.accounted_micro, unit))]
    rows += [("unexplained", in_words(balance.difference_micro, unit))]
    yield f"Mass balance of lot {lot.code}, {lot.material}{_moment(balance)}"
    yield from _table(("", "quantity"), rows)
    yield "It closes." if balance.closes else "It does not close."


_BACK_RAW = ("lot", "material", "in it", "supplier", "supplier's lot")
_BACK_MADE = ("lot", "material", "in it", "reached by")
_FORWARD = ("lot", "material", "of it", "where now")
_CUSTOMERS = ("place", "lot", "quantity")


def _heading(report: Report) -> str:
    answer, lot = report.trace, report.subject
    way = "back from" if answer.direction is Direction.BACK else "forward from"
    follow = (
        "" if answer.kinds == ALL_KINDS else f" over {', '.join(kind.label for kind in sorted(answer.kinds))} links"
    )
    return (
        f"Trace {way} lot {lot.code}, {lot.material}: "
        f"{in_words(answer.subject_micro, lot.material.base_unit)}{follow}{_moment(answer)}"
    )


def _moment(answer: object) -> str:
    as_of = getattr(answer, "as_of", None)
    return f", as of {on_the_wall(as_of)}" if as_of else ""


def _raw_cells(row: Row) -> tuple[str, ...]:
    amount = in_words(row.amount_micro, row.amount_unit)
    return row.lot.code, str(row.lot.material), amount, str(row.lot.supplier), row.lot.supplier_lot


def _made_cells(row: Row) -> tuple[str, ...]:
    return row.lot.code, str(row.lot.material), in_words(row.amount_micro, row.amount_unit), ", ".join(row.kinds)


def _forward_cells(row: Row) -> tuple[str, ...]:
    where = "; ".join(_place_in_words(place, row.lot) for place in row.places)
    return row.lot.code, str(row.lot.material), in_words(row.amount_micro, row.amount_unit), where


def _place_in_words(place: Place, lot: Lot) -> str:
    return f"{place.location}: {in_words(place.quantity_micro, lot.material.base_unit)}"


def _held_by(report: Report) -> list[tuple[str, ...]]:
    """Return what of the affected lots lies where, customers last."""
    held = [(place, report.subject) for place in report.subject_places]
    held += [(place, row.lot) for row in report.rows for place in row.places]
    held.sort(key=lambda one: (one[0].location.kind == Location.Kind.CUSTOMER, one[0].location.code, one[1].pk))
    return [
        (str(place.location), lot.code, in_words(place.quantity_micro, lot.material.base_unit)) for place, lot in held
    ]


def _section(title: str, header: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    yield ""
    yield title
    yield from _table(header, rows)


def _table(header: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """Yield the rows under their header, columns as wide as their widest cell, quantities to the right."""
    lines = [header, *rows]
    widths = [max(len(line[column]) for line in lines) for column in range(len(header))]
    right = {column for column, name in enumerate(header) if name in ("in it", "of it", "quantity")}
    for line in lines:
        cells = (
            cell.rjust(width) if column in right else cell.ljust(width)
            for column, (cell, width) in enumerate(zip(line, widths, strict=True))
        )
        yield ("  " + "  ".join(cells)).rstrip()
