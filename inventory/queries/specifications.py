"""Specifications: what each property of a material must keep to on a day."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from datetime import date

from brewery.science.limits import in_words
from inventory.models import Specification
from inventory.queries.certificates import properties_of


def in_force(materials: Collection[int], day: date) -> dict[int, dict[str, Specification]]:
    """Return for each material, by id, what is asked of it on that day, by property; what is withdrawn is left out."""
    return {material: in_force_of(rows, day) for material, rows in specifications_of(materials).items()}


def specifications_of(materials: Collection[int]) -> dict[int, list[Specification]]:
    """Return for each material, by id, all that was ever asked of it, the newest of each property first."""
    found: dict[int, list[Specification]] = defaultdict(list)
    for row in Specification.objects.filter(material__in=materials).select_related("material"):
        found[row.material_id].append(row)
    return found


def in_force_of(rows: Iterable[Specification], day: date) -> dict[str, Specification]:
    """Return by property what of these, the newest first, is asked on that day; what is withdrawn is left out."""
    asked: dict[str, Specification] = {}
    for row in rows:
        if row.in_force_from <= day:
            asked.setdefault(row.property, row)
    return {key: row for key, row in asked.items() if not row.is_withdrawn}


def limits_of(specification: Specification) -> str:
    """Return what is asked, in words."""
    measured = properties_of(specification.material.kind)[specification.property]
    if specification.is_withdrawn:
        return "asked for no longer"
    return in_words(measured, specification.least_micro, specification.most_micro)
