"""Purchasing: what was ordered."""

from brewery.kernel.clock import brewery_day
from brewery.kernel.tables.reading import Row
from brewery.production.services.records.calls.call import Call
from brewery.production.services.records.codes import Codes, micro
from brewery.production.services.records.rows import Record
from inventory.services.orders import OrderedLine, enter_order


def purchase_order(record: Record, codes: Codes) -> Call:
    """Every line is a material that is expected."""
    content = {
        "number": record["order"],
        "supplier": codes.party(record.rows[0], "supplier"),
        "ordered_on": brewery_day(record.happened_at),
        "lines": [_line(row, codes) for row in record.rows],
        "note": record["note"] or "",
    }
    return Call(enter_order, content)


def _line(row: Row, codes: Codes) -> OrderedLine:
    material = codes.material(row, "material")
    quantity_micro = micro(row, "quantity", "unit", material.base_unit)
    return OrderedLine(material, quantity_micro, row["due_on"], row["supplier_reference"] or "")
