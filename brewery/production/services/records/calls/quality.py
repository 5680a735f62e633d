"""Quality: what a material must keep to, and what certificates say of lots."""

from brewery.production.services.records.calls.call import Call
from brewery.production.services.records.codes import Codes, parts_if_given
from brewery.production.services.records.rows import Record
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
