"""What was measured of a yeast lot: by laboratories and by the brewers themselves, with what was corrected."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import F

from brewery.science.analyses import ANALYSES
from brewery.science.properties import with_unit, written
from inventory.models import Certificate, Lot
from inventory.queries.certificates import certificates_in_full, reading_of


@dataclass(frozen=True)
class Measurement:
    """One certificate or own count, with what it states as pairs of label and value; `is_corrected` counts no more."""

    certificate: Certificate
    stated: Sequence[tuple[str, str]]
    is_corrected: bool


def measurements_of(lot: Lot) -> list[Measurement]:
    """Return all that was measured of the yeast, the latest first, what was corrected with it; three statements."""
    rows = certificates_in_full().filter(lot=lot).order_by(F("issued_on").desc(nulls_last=True), "-pk")
    return [Measurement(row, _stated(row), hasattr(row, "replaced_by")) for row in rows]


def _stated(certificate: Certificate) -> list[tuple[str, str]]:
    properties = ANALYSES["yeast"]
    return [
        (properties[value.property].label, with_unit(written(reading_of(value)), properties[value.property]))
        for value in certificate.values.all()
    ]
