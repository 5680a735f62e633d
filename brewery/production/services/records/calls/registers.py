"""Registers: people, materials with their settings, parties with whom to ring there, locations."""

from brewery.kernel.services.people import add_person
from brewery.production.services.records.calls.call import Call
from brewery.production.services.records.codes import Codes, micro, micro_if_given, parts_if_given, parts_of
from brewery.production.services.records.problems import Misfit
from brewery.production.services.records.rows import Record
from brewery.science.units import BaseUnit, unit_of
from inventory.services import registers
from inventory.services.customers import tell_contact
from inventory.services.material_settings import enter_settings


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


def material_settings(record: Record, codes: Codes) -> Call:
    """What is known of a material besides its name is set."""
    row = record.rows[0]
    told = {
        "shelf_life_days": row["shelf_life_days"],
        "told_days_before": row["told_days_before"],
        "open_days": row["open_days"],
        "warmest_arrival_milli_c": parts_if_given(row, "warmest_arrival_c", 1_000),
        "delivery_tolerance_ppm": parts_if_given(row, "delivery_tolerance_pct", 10_000),
        "count_tolerance_ppm": parts_if_given(row, "count_tolerance_pct", 10_000),
        "allergens": row["allergens"],
        "allergens_exempt_in_eu": row["allergens_exempt_in_eu"],
        "is_of_animal_origin": row["animal_origin"] and row["animal_origin"] == "yes",
        "claims": row["claims"],
        "salt": row["salt"],
        "container": row["container"],
    }
    changes = {name: value for name, value in told.items() if value is not None}
    return Call(enter_settings, {"material": codes.material(row, "material"), "changes": changes})


def party(record: Record, _: Codes) -> Call:
    """A supplier or customer is entered."""
    return Call(registers.add_party, {"code": record.number, "name": record["name"], "role": record["role"]})


def contact(record: Record, codes: Codes) -> Call:
    """Somebody can be rung at a party."""
    row = record.rows[0]
    content = {
        "party": codes.any_party(row, "party"),
        "name": row["name"],
        "role": row["role"] or "",
        "phone": row["phone"] or "",
        "email": row["email"] or "",
        "is_reachable_at_night": row["at_night"] == "yes",
        "note": row["note"] or "",
    }
    return Call(tell_contact, content)


def location(record: Record, _: Codes) -> Call:
    """A place is entered, with what it takes if that is known."""
    row = record.rows[0]
    content = {"code": record.number, "name": row["name"], "kind": row["kind"], "filling": row["filling"] or ""}
    if row["capacity"] is not None:
        if row["unit"] is None:
            raise Misfit(row.line, "unit", f"{row['capacity']} needs a unit.")
        base = unit_of(row["unit"]).base
        content |= {"capacity_micro": micro(row, "capacity", "unit", base), "capacity_unit": base.value}
    if row["band"] is not None:
        content["band_micro"] = micro(row, "band", "unit", BaseUnit.KG)
    if row["temperature_c"] is not None:
        content["nominal_milli_c"] = parts_of(row, "temperature_c", 1_000)
    return Call(registers.add_location, content)
