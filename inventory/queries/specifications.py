"""Specifications: what each property of a material must keep to on a day."""

from collections import defaultdict
from collections.abc import Collection
from datetime import date

from brewery.science.limits import in_words
from inventory.models import Specification
from inventory.queries.certificates import properties_of


def in_force(materials: Collection[int], day: date) -> dict[int, dict[str, Specification]]:
    """Return for each material, by id, what is asked of it on that day, by property; what is withdrawn is left out."""
    found: dict[int, dict[str, Specification]] = defaultdict(dict)
    rows = Specification.objects.filter(material__in=materials, in_force_from__lte=day).select_related("material")
    for row in rows:  # the newest of each property comes first
        found[row.material_id].setdefault(row.property, row)
    return {
        material: {key: row for key, row in asked.items() if not row.is_withdrawn} for material, asked in found.items()
    }


def limits_of(specification: Specification) -> str:
    """Return what is asked, in words."""
    measured = properties_of(specification.material.kind)[specification.property]
    if specification.is_withdrawn:
        return "asked for no longer"
    return in_words(measured, specification.least_micro, specification.most_micro)
