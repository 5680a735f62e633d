"""Purchasing: what was contracted, how it is reordered, and what was ordered."""

from brewery.kernel.clock import brewery_day
from brewery.kernel.tables.reading import Row
from brewery.production.services.records.calls.call import Call
from brewery.production.services.records.codes import Codes, micro, micro_if_given, parts_if_given, parts_of
from brewery.production.services.records.rows import Record
from inventory.services.costs import record_cost
from inventory.services.orders import OrderedLine, enter_order
from inventory.services.reorder_settings import set_reordering
from inventory.services.supply_contracts import enter_contract


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


def supply_contract(record: Record, codes: Codes) -> Call:
    """So much of a material may be called off between two days."""
    row = record.rows[0]
    material = codes.material(row, "material")
    content = {
        "number": row["contract"],
        "supplier": codes.party(row, "supplier"),
        "material": material,
        "quantity_micro": micro(row, "quantity", "unit", material.base_unit),
        "begins_on": row["begins_on"],
        "ends_on": row["ends_on"],
        "crop_year": row["crop_year"],
        "note": row["note"] or "",
    }
    return Call(enter_contract, content)


def reorder_setting(record: Record, codes: Codes) -> Call:
    """A material is reordered so from then on; what is left empty is as the service takes it."""
    row = record.rows[0]
    material = codes.material(row, "material")
    unit = material.base_unit
    content = {
        "material": material,
        "supplier": codes.party(row, "supplier"),
        "lead_days": row["lead_days"],
        "policy": row["policy"],
        "quantity_micro": micro(row, "quantity", "unit", unit),
        "service_ppm": parts_if_given(row, "service_pct", 10_000),
        "review_days": row["review_days"],
        "pack_micro": micro_if_given(row, "pack", "unit", unit),
        "least_micro": micro_if_given(row, "least", "unit", unit),
        "is_ended": row["ended"],
    }
    return Call(set_reordering, {name: told for name, told in content.items() if told is not None})


def lot_cost(record: Record, codes: Codes) -> Call:
    """What one unit of a lot cost."""
    row = record.rows[0]
    cost = parts_of(row, "unit_cost", 10_000)
    return Call(record_cost, {"lot": codes.lot(row, "lot"), "unit_cost_e4": cost, "currency": row["currency"]})


def _line(row: Row, codes: Codes) -> OrderedLine:
    material = codes.material(row, "material")
    quantity_micro = micro(row, "quantity", "unit", material.base_unit)
    contract = codes.contract(row, "contract") if row["contract"] else None
    return OrderedLine(material, quantity_micro, row["due_on"], row["supplier_reference"] or "", contract)
