"""The strength of beer, for label and duty: alcohol and original extract as measured, never as computed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from brewery.kernel.clock import brewery_day
from brewery.science.analyses import PACKAGED
from brewery.science.properties import with_unit, written
from inventory.models import CertificateValue, Lot
from inventory.queries.certificates import reading_of

ALCOHOL, EXTRACT = "alcohol", "original_extract"
"""% by volume, and °P of the wort that the beer came of, by Balling."""


@dataclass(frozen=True)
class MeasuredStrength:
    """What was measured last: millionths of its unit, its bound, by which method, where, and when."""

    value: CertificateValue
    value_micro: int
    bound: str
    method: str
    laboratory: str
    measured_on: date

    @property
    def shown(self) -> str:
        """The value with its unit."""
        return with_unit(written(reading_of(self.value)), PACKAGED[self.value.property])


def measured_alcohol(lot: Lot) -> MeasuredStrength | None:
    """Return the alcohol on the newest certificate of the lot that holds and states it; None where none does."""
    return measured_alcohols([lot]).get(lot.pk)


def measured_alcohols(lots: Iterable[Lot]) -> dict[int, MeasuredStrength]:
    """Return the same of each lot, by id; a lot of which it was never measured is not among them."""
    return _measured(ALCOHOL, lots)


def measured_extracts(lots: Iterable[Lot]) -> dict[int, MeasuredStrength]:
    """Return the original extract of each lot in the same way."""
    return _measured(EXTRACT, lots)


def _measured(name: str, lots: Iterable[Lot]) -> dict[int, MeasuredStrength]:
    rows = CertificateValue.objects.filter(
        certificate__lot__in=list(lots), certificate__replaced_by=None, property=name, value_micro__isnull=False
    )
    newest_last = rows.select_related("certificate").order_by("certificate__recorded_at", "pk")
    return {value.certificate.lot_id: _told(value) for value in newest_last}


def _told(value: CertificateValue) -> MeasuredStrength:
    paper = value.certificate
    day = paper.issued_on or brewery_day(paper.recorded_at)
    return MeasuredStrength(value, value.value_micro or 0, value.bound, value.method, paper.laboratory, day)
