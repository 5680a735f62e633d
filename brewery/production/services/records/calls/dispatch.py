"""Dispatch: packagings, shipments, and what customers send back."""

from brewery.production.services import dispatch
from brewery.production.services.packaging import package
from brewery.production.services.records.calls.brewhouse import parts
from brewery.production.services.records.calls.call import Call
from brewery.production.services.records.codes import Codes, micro_if_given
from brewery.production.services.records.rows import Record
from brewery.science.units import BaseUnit
from inventory.services.customers import ask_minimum_life


def packaging(record: Record, codes: Codes) -> Call:
    """Packaged beer lies in the store."""
    row = record.rows[0]
    content = {
        "run": codes.run(row, "run"),
        "vessel": codes.location(row, "vessel"),
        "material": codes.material(row, "material"),
        "packaged_code": row["packaged_lot"],
        "count": row["count"],
        "loss_micro": micro_if_given(row, "loss", "loss_unit", BaseUnit.L) or 0,
        "location": codes.location(row, "location"),
        "best_before": row["best_before"],
        "happened_at": record.happened_at,
    }
    return Call(package, content)


def shipment(record: Record, codes: Codes) -> Call:
    """Packaged beer is at the customer."""
    content = {
        "customer": codes.party(record.rows[0], "customer"),
        "note_number": record["note_number"],
        "parts": parts(record, codes),
        "happened_at": record.happened_at,
    }
    return Call(dispatch.ship, content)


def minimum_life(record: Record, codes: Codes) -> Call:
    """Beer for a customer keeps so long on delivery, one material or all."""
    row = record.rows[0]
    content = {
        "party": codes.party(row, "customer"),
        "days": row["days"],
        "material": codes.material(row, "material") if row["material"] else None,
    }
    return Call(ask_minimum_life, content)


def customer_return(record: Record, codes: Codes) -> Call:
    """Packaged beer is back from the customer."""
    content = {
        "customer": codes.party(record.rows[0], "customer"),
        "parts": parts(record, codes),
        "reason": record["reason"],
        "happened_at": record.happened_at,
    }
    return Call(dispatch.take_back, content)
