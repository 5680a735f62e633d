"""Fitness: a lot past its day, and yeast too old or too weak, is used only where somebody who may overrides it."""

from collections.abc import Sequence
from datetime import datetime

from brewery.kernel.clock import brewery_day
from brewery.production.queries.yeast_states import YeastState, states_of
from brewery.production.services.draw_refusals import BestBeforeOver, StoredTooLong, ViabilityTooLow, YeastTooOld
from inventory.models import Material
from inventory.services.stock import Part


def refuse_unfit(parts: Sequence[Part], moment: datetime) -> None:
    """Raise BestBeforeOver, YeastTooOld, StoredTooLong or ViabilityTooLow for the first that is not fit by then.

    Viability is the one last counted, less what stored yeast loses by days and warmth; without a count none is known.
    """
    day = brewery_day(moment)
    for part in parts:
        best_before = part.lot.best_before
        if best_before and best_before < day:
            raise BestBeforeOver(
                lot=part.lot.code, best_before=best_before.isoformat(), day=day.isoformat(), field="lot"
            )
    yeasts = [(part.lot, part.location) for part in parts if part.lot.material.kind == Material.Kind.YEAST]
    for state in states_of(yeasts, moment):
        _refuse_unfit_yeast(state)


def _refuse_unfit_yeast(state: YeastState) -> None:
    lot, strain = state.lot.code, state.strain
    if state.is_too_old:
        raise YeastTooOld(lot=lot, generation=state.lot.generation, most=strain.last_generation, field="lot")
    if state.is_stored_too_long:
        raise StoredTooLong(lot=lot, days=int(state.days), most=strain.most_days, field="lot")
    if state.is_too_weak:
        raise ViabilityTooLow(
            lot=lot,
            viability=f"{state.viability_pct:.3g}",
            why=state.why,
            least=f"{strain.least_viability_pct:g}",
            field="lot",
        )
