"""Dispatch: what customers order, shipments, what customers send back, and what becomes of it."""

from brewery.production.services import dispatch
from brewery.production.services.customer_orders import WantedLine, enter_customer_order
from brewery.production.services.records.calls.brewhouse import parts
from brewery.production.services.records.calls.call import Call
from brewery.production.services.records.codes import Codes, micro
from brewery.production.services.records.problems import Misfit
from brewery.production.services.records.rows import Record
from brewery.production.services.return_outcomes import destroy_returned, restock_returned
from brewery.science.units import MICRO, BaseUnit
from inventory.services.customers import ask_minimum_life

_PAPERS = ("carrier", "vehicle", "driver", "seal")


def customer_order(record: Record, codes: Codes) -> Call:
    """A customer has ordered packaged beer; it was entered at the moment of the record."""
    head = record.rows[0]
    content = {
        "number": record["order"],
        "customer": codes.party(head, "customer"),
        "wanted_on": record["wanted_on"],
        "lines": [WantedLine(codes.material(row, "material"), row["count"]) for row in record.rows],
        "customer_reference": record["customer_reference"] or "",
        "deliver_to": record["deliver_to"] or "",
        "note": record["note"] or "",
        "entered_at": record.happened_at,
    }
    return Call(enter_customer_order, content)


def shipment(record: Record, codes: Codes) -> Call:
    """Packaged beer is at the customer, and counts as picked for the order where one is named."""
    head = record.rows[0]
    content = {
        "note_number": record["note_number"],
        "parts": parts(record, codes),
        "happened_at": record.happened_at,
    }
    if papers := {name: record[name] for name in _PAPERS if record[name]}:
        content["papers"] = dispatch.Papers(**papers)
    customer = codes.party(head, "customer")
    if record["order"]:
        return Call(dispatch.report_shipment, content | {"order": codes.customer_order(head, "order", customer)})
    return Call(dispatch.ship, content | {"customer": customer})


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
    if record["cause"]:
        content["cause"] = record["cause"]
    return Call(dispatch.take_back, content)


def return_outcome(record: Record, codes: Codes) -> Call:
    """Some of what came back lie in a store again, or are destroyed."""
    row = record.rows[0]
    content = {
        "customer_return": codes.customer_return(row, "customer_return"),
        "lot": codes.lot(row, "lot"),
        "location": codes.location(row, "location"),
        "count": micro(row, "quantity", "unit", BaseUnit.EACH) // MICRO,
        "reason": row["reason"],
        "happened_at": record.happened_at,
    }
    if row["outcome"] == "destroy":
        return Call(destroy_returned, content)
    if row["to_location"] is None:
        raise Misfit(row.line, "to_location", "It is empty, and what is in stock again lies somewhere.")
    return Call(restock_returned, content | {"to_location": codes.location(row, "to_location")})
