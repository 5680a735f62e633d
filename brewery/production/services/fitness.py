"""Fitness: a lot past its day, and yeast too old or too weak, is drawn only where somebody who may overrides it."""

from collections.abc import Iterable
from datetime import date

from brewery.production.services.draw_refusals import BestBeforeOver, ViabilityTooLow, YeastTooOld
from brewery.science.properties import plain
from brewery.science.units import MICRO
from brewery.science.viability import USUAL_REFUSAL_PCT
from inventory.models import CertificateValue, Lot, Material

LAST_GENERATION = 10
"""Breweries hold 5 to 10 cycles or fewer: Quain, Generation number, ebrary.net 83041."""


def refuse_unfit(lots: Iterable[Lot], day: date) -> None:
    """Raise BestBeforeOver, YeastTooOld or ViabilityTooLow for the first lot that is not fit on that day."""
    yeasts = []
    for lot in lots:
        if lot.best_before and lot.best_before < day:
            raise BestBeforeOver(
                lot=lot.code, best_before=lot.best_before.isoformat(), day=day.isoformat(), field="lot"
            )
        if lot.material.kind == Material.Kind.YEAST:
            yeasts.append(lot)
    for lot in yeasts:
        if (lot.generation or 0) > LAST_GENERATION:
            raise YeastTooOld(lot=lot.code, generation=lot.generation, most=LAST_GENERATION, field="lot")
    if yeasts:
        _refuse_weak(yeasts)


def _refuse_weak(yeasts: Iterable[Lot]) -> None:
    """Raise ViabilityTooLow by the last count that is on record; without one nothing is known."""
    rows = CertificateValue.objects.filter(
        certificate__lot__in=list(yeasts), certificate__replaced_by=None, property="viability", bound=""
    ).select_related("certificate__lot")
    last = {row.certificate.lot_id: row for row in rows.order_by("certificate__recorded_at", "pk")}
    for row in last.values():
        if (row.value_micro or 0) < USUAL_REFUSAL_PCT * MICRO:
            raise ViabilityTooLow(
                lot=row.certificate.lot.code,
                viability=plain(row.value_micro or 0),
                certificate=f"certificate {row.certificate.number}" if row.certificate.number else "its certificate",
                least=f"{USUAL_REFUSAL_PCT:g}",
                field="lot",
            )
