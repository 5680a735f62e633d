"""Registers: people, materials, parties, locations."""

from brewery.kernel.services.people import add_person
from brewery.production.services.records.calls.call import Call
from brewery.production.services.records.codes import Codes, micro, micro_if_given
from brewery.production.services.records.problems import Misfit
from brewery.production.services.records.rows import Record
from brewery.science.units import BaseUnit, unit_of
from inventory.services import registers


def person(record: Record, _: Codes) -> Call:
    """A person can be named in records from now on."""
    return Call(add_person, {"username": record.number, "name": record["name"], "role": record["role"]})


def material(record: Record, _: Codes) -> Call:
    """A material is entered."""
    row = record.rows[0]
    content = {
        "code": record.number,
        "name": row["name"],
        "kind": row["kind"],
        "base_unit": row["unit"],
        "arrives": row["arrives"],
        "contents_micro": micro_if_given(row, "contents", "contents_unit", BaseUnit.L),
    }
    return Call(registers.add_material, content)


def party(record: Record, _: Codes) -> Call:
    """A supplier or customer is entered."""
    return Call(registers.add_party, {"code": record.number, "name": record["name"], "role": record["role"]})


def location(record: Record, _: Codes) -> Call:
    """A place is entered, with what it takes if that is known."""
    row = record.rows[0]
    content = {"code": record.number, "name": row["name"], "kind": row["kind"], "filling": row["filling"] or ""}
    if row["capacity"] is not None:
        if row["unit"] is None:
            raise Misfit(row.line, "unit", f"{row['capacity']} needs a unit.")
        base = unit_of(row["unit"]).base
        content |= {"capacity_micro": micro(row, "capacity", "unit", base), "capacity_unit": base.value}
    return Call(registers.add_location, content)
