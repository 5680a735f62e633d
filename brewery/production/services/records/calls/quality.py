"""Quality: what materials and yeast strains must keep to, and what certificates say of lots."""

from brewery.production.services.records.calls.call import Call
from brewery.production.services.records.codes import Codes, parts_if_given, parts_of
from brewery.production.services.records.rows import Record
from brewery.production.services.strains import set_strain
from brewery.science.units import MICRO
from inventory.services.certificates import Measured, enter_certificate
from inventory.services.specifications import set_specification


def specification(record: Record, codes: Codes) -> Call:
    """A property of a material keeps to limits from a day on."""
    row = record.rows[0]
    content = {
        "material": codes.material(row, "material"),
        "property": row["property"],
        "least_micro": parts_if_given(row, "least", MICRO),
        "most_micro": parts_if_given(row, "most", MICRO),
        "in_force_from": row["in_force_from"],
        "source": row["source"] or "",
        "is_withdrawn": row["withdrawn"] == "yes",
    }
    return Call(set_specification, content)


def strain_setting(record: Record, codes: Codes) -> Call:
    """A yeast strain is held to this from a day on."""
    row = record.rows[0]
    content = {
        "material": codes.material(row, "yeast"),
        "last_generation": row["last_generation"],
        "least_viability_micro": parts_of(row, "least_viability_pct", MICRO),
        "most_days": row["most_days"],
        "rate_micro": parts_of(row, "rate", MICRO),
        "harvest_from_days": row["harvest_from_days"],
        "harvest_until_days": row["harvest_until_days"],
        "in_force_from": row["in_force_from"],
        "source": row["source"] or "",
    }
    return Call(set_strain, content)


def certificate(record: Record, codes: Codes) -> Call:
    """A certificate of a lot is on record, one property a line."""
    content = {
        "lot": codes.lot(record.rows[0], "lot"),
        "number": record["number"] or "",
        "laboratory": record["laboratory"] or "",
        "issued_on": record["issued_on"],
        "values": [Measured(row["property"], row["value"], row["method"] or "") for row in record.rows],
    }
    if record["replaces"]:
        content["replaces"] = codes.certificate(record.rows[0], "replaces")
    return Call(enter_certificate, content)
