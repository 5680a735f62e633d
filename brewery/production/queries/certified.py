"""What certificates state of lots: the newest exact figure of each property, and where it stands."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from statistics import fmean

from django.db.models import QuerySet

from brewery.science.extract import as_is_from_dry
from brewery.science.units import MICRO
from inventory.models import CertificateValue, Lot, Material

AS_IS, DRY, MOISTURE = "extract_fine_as_is", "extract_fine_dry", "moisture"


@dataclass(frozen=True)
class Stated:
    """One figure of one lot, in the unit of its property, and the certificate that states it in words."""

    value: float
    source: str


Statements = dict[int, dict[str, Stated]]
"""By lot and property."""


def stated_of(lots: Collection[int]) -> Statements:
    """Return what is stated of each lot, by their keys, in one statement. What is said as "< 0.1" is no figure."""
    rows = _values().filter(certificate__lot__in=lots)
    found: Statements = defaultdict(dict)
    for row in rows:
        certificate = row.certificate
        issued = f" of {certificate.issued_on.isoformat()}" if certificate.issued_on else ""
        stated = Stated((row.value_micro or 0) / MICRO, f"certificate {certificate.number or certificate.pk}{issued}")
        found[certificate.lot_id].setdefault(row.property, stated)
    for stated_here in found.values():
        _add_as_is(stated_here)
    return found


def usual_as_is_pct(materials: Collection[Material]) -> dict[int, tuple[float, int]]:
    """Return by material the mean extract as-is, in %, over all its lots with certificates, and how many they are."""
    lots = Lot.objects.filter(material__in=materials, reversed_by=None, certificates__isnull=False).distinct()
    material_of = dict(lots.values_list("pk", "material"))
    rows = _values().filter(certificate__lot__in=material_of, property__in=(AS_IS, DRY, MOISTURE))
    by_lot: Statements = defaultdict(dict)
    for row in rows:
        by_lot[row.certificate.lot_id].setdefault(row.property, Stated((row.value_micro or 0) / MICRO, ""))
    figures: dict[int, list[float]] = defaultdict(list)
    for lot, stated in by_lot.items():
        _add_as_is(stated)
        if AS_IS in stated:
            figures[material_of[lot]].append(stated[AS_IS].value)
    return {material: (fmean(values), len(values)) for material, values in figures.items()}


def _values() -> QuerySet[CertificateValue]:
    """Return the exact figures of certificates that nothing replaced, the newest first."""
    rows = CertificateValue.objects.filter(bound="", text="", certificate__replaced_by=None)
    return rows.select_related("certificate").order_by("-certificate__recorded_at", "-certificate")


def _add_as_is(stated: dict[str, Stated]) -> None:
    """Extract of the dry matter and moisture give the extract as it is, where the certificate does not."""
    if AS_IS not in stated and DRY in stated and MOISTURE in stated:
        dry, moisture = stated[DRY], stated[MOISTURE]
        stated[AS_IS] = Stated(
            as_is_from_dry(dry.value, moisture.value),
            f"{dry.source}: {dry.value:g} % dry basis at {moisture.value:g} % moisture",
        )
