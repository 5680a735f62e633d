"""Brewhouse: brews and packaging runs are started, drawn for, logged, and knocked out."""

from brewery.kernel.tables.reading import Row
from brewery.production.services import work
from brewery.production.services.brew_log import LogLine, correct_log, write_in_log
from brewery.production.services.by_the_sheet import StandIn
from brewery.production.services.knock_outs import knock_out as knock_out_brew
from brewery.production.services.records.calls.call import Call
from brewery.production.services.records.codes import Codes, micro, micro_if_given, parts_if_given
from brewery.production.services.records.rows import Record
from brewery.production.services.tanks import Fill
from brewery.science.units import MICRO, BaseUnit
from inventory.services.stock import Part

LOSS = "loss"
"""What stands in the vessel's column on the line that tells the loss."""


def brew(record: Record, codes: Codes) -> Call:
    """A brew is under way."""
    row = record.rows[0]
    beer = codes.material(row, "beer")
    content = {
        "code": record["brew"],
        "beer": beer,
        "sheet": codes.sheet(row, "sheet_version", beer) if row["sheet_version"] else None,
        "cold_wort_micro": micro_if_given(row, "cold_wort", "unit", BaseUnit.L),
        "started_at": record.happened_at,
    }
    return Call(work.start_brew, content)


def packaging_run(record: Record, codes: Codes) -> Call:
    """A packaging run is under way."""
    content = {
        "code": record["run"],
        "beer": codes.material(record.rows[0], "beer"),
        "started_at": record.happened_at,
    }
    return Call(work.start_packaging_run, content)


def draw(record: Record, codes: Codes) -> Call:
    """Parts of lots lie in a brew or run."""
    content = {
        "work": codes.work(record.rows[0], "into"),
        "parts": parts(record, codes),
        "override_reason": record["override_reason"] or "",
        "reason": record["reason"] or "",
        "stands_in": [_stand_in(row, codes) for row in record.rows if row["stands_in_for"]],
        "happened_at": record.happened_at,
    }
    return Call(work.draw_for, content)


def _stand_in(row: Row, codes: Codes) -> StandIn:
    wanted = codes.material(row, "stands_in_for")
    return StandIn(wanted, codes.lot(row, "lot"), row["stands_in_because"] or "")


def log_line(record: Record, codes: Codes) -> Call:
    """A reading or a word stands in the log of a brew, or in the place of a line that was wrong."""
    row = record.rows[0]
    line = LogLine(
        step=row["step"],
        property=row["property"] or "",
        value_micro=parts_if_given(row, "value", MICRO),
        is_hot=row["hot"] == "yes",
        vessel=row["vessel"] or "",
        words=row["words"] or "",
    )
    content = {"line": line, "happened_at": record.happened_at}
    if row["replaces"]:
        entry = codes.log_entry(row, "replaces")
        return Call(correct_log, content | {"entry": entry, "reason": row["reason"] or ""})
    return Call(write_in_log, content | {"brew": codes.brew(row, "brew")})


def return_to_stock(record: Record, codes: Codes) -> Call:
    """Parts of lots lie in stock again."""
    content = {
        "work": codes.work(record.rows[0], "out_of"),
        "parts": parts(record, codes),
        "reason": record["reason"] or "",
        "happened_at": record.happened_at,
    }
    return Call(work.return_from, content)


def knock_out(record: Record, codes: Codes) -> Call:
    """Wort lies in the tanks, one line each; a line whose vessel is `loss` tells the loss."""
    head = record.rows[0]
    content = {
        "brew": codes.brew(head, "brew"),
        "wort_material": codes.material(head, "wort_material"),
        "wort_code": record["wort_lot"],
        "fills": [_fill(row, codes) for row in record.rows if row["vessel"] != LOSS],
        "loss_micro": sum(_volume(row) for row in record.rows if row["vessel"] == LOSS),
        "unclean_reason": record["unclean_reason"] or "",
        "happened_at": record.happened_at,
    }
    return Call(knock_out_brew, content)


def _fill(row: Row, codes: Codes) -> Fill:
    return Fill(codes.location(row, "vessel"), _volume(row), row["contents_lot"] or "")


def _volume(row: Row) -> int:
    return micro(row, "quantity", "unit", BaseUnit.L)


def parts(record: Record, codes: Codes, lot_column: str = "lot") -> list[Part]:
    """Return the part of a lot that each line tells of."""
    return [_part(row, codes, lot_column) for row in record.rows]


def _part(row: Row, codes: Codes, lot_column: str) -> Part:
    lot = codes.lot(row, lot_column)
    return Part(lot, codes.location(row, "location"), micro(row, "quantity", "unit", lot.material.base_unit))
