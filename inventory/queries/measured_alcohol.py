"""The alcohol of packaged beer, for label and duty: as measured, never as computed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from brewery.kernel.clock import brewery_day
from brewery.science.analyses import PACKAGED
from brewery.science.properties import with_unit, written
from inventory.models import CertificateValue, Lot
from inventory.queries.certificates import reading_of

ALCOHOL = "alcohol"


@dataclass(frozen=True)
class MeasuredAlcohol:
    """What was measured last: millionths of a per cent by volume, its bound, by which method, where, and when."""

    value: CertificateValue
    value_micro: int
    bound: str
    method: str
    laboratory: str
    measured_on: date

    @property
    def shown(self) -> str:
        """The value with its unit."""
        return with_unit(written(reading_of(self.value)), PACKAGED[ALCOHOL])


def measured_alcohol(lot: Lot) -> MeasuredAlcohol | None:
    """Return the alcohol on the newest certificate of the lot that holds and states it; None where none does."""
    return measured_alcohols([lot]).get(lot.pk)


def measured_alcohols(lots: Iterable[Lot]) -> dict[int, MeasuredAlcohol]:
    """Return the same of each lot, by id; a lot of which it was never measured is not among them."""
    rows = CertificateValue.objects.filter(
        certificate__lot__in=list(lots), certificate__replaced_by=None, property=ALCOHOL, value_micro__isnull=False
    )
    newest_last = rows.select_related("certificate").order_by("certificate__recorded_at", "pk")
    return {value.certificate.lot_id: _told(value) for value in newest_last}


def _told(value: CertificateValue) -> MeasuredAlcohol:
    paper = value.certificate
    day = paper.issued_on or brewery_day(paper.recorded_at)
    return MeasuredAlcohol(value, value.value_micro or 0, value.bound, value.method, paper.laboratory, day)
