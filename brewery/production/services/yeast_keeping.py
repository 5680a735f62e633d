"""How long stored yeast keeps: until fewer of its cells are alive than its strain is pitched with."""

import math
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from brewery.kernel.access import Role
from brewery.kernel.clock import brewery_day, now
from brewery.production.queries.strains import strains_on
from brewery.production.queries.yeast_states import counts_of, holds_until
from brewery.science.units import MICRO
from brewery.science.viability import decay_rate_per_day
from inventory.models import Material
from inventory.queries.paths import in_ms
from inventory.services.alert_bells import Bell
from inventory.services.alerts import Cause, alerts_of
from inventory.services.keeping_alerts import cause_of, day_of, of_part
from inventory.services.keepings import Course, KeepingRule, KeptLot, crossed_by, keep_rule, work_off

VIABILITY = "viability"


def viability_courses(lots: Sequence[KeptLot]) -> Mapping[int, Course]:
    """Return of each yeast lot that was counted how far it may go from then on, by the strain's least viability."""
    counts = counts_of([lot.pk for lot in lots])
    strains = strains_on({lot.material for lot in lots}, brewery_day(now()))
    return {
        lot.pk: Course(
            in_ms(holds_until(count)),
            _to_go((count.value_micro or 0) / MICRO, strains[lot.material].least_viability_pct),
        )
        for lot in lots
        if (count := counts[lot.pk].get("viability"))
    }


def _to_go(counted_pct: float, least_pct: float) -> float:
    return math.log(counted_pct / least_pct) if counted_pct > least_pct > 0 else 0.0 if least_pct else math.inf


@alerts_of("yeast_tired", "Yeast gone tired", after=(Bell.CERTIFICATE,))
def tired_yeast(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each part of a yeast lot of which too little is alive by now, as far as can be foreseen."""
    work_off()
    for row in crossed_by(VIABILITY, moment):
        words = f"{of_part(row)} has had too few living cells to pitch since {day_of(row)}, by its last count and its "
        yield cause_of(row, f"{words}warmth since then. Count it again, or discard it.", Role.BREWING)


keep_rule(
    KeepingRule(
        VIABILITY,
        "enough living cells to pitch",
        (Material.Kind.YEAST,),
        lambda: decay_rate_per_day,
        viability_courses,
    )
)
