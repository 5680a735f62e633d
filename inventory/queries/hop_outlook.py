"""How the alpha acids of a part of a hop lot went and will go, as one assay after the other let it be foreseen."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from inventory.models import Balance, Location, Lot
from inventory.queries.hop_alpha import AlphaToday, Miss, alphas_of, misses_of
from inventory.queries.hop_facts import HopFacts, facts_of, hop_lot

STEPS = 60
LOOKS_AHEAD = timedelta(days=180)
"""As far as most plans of a brewery go: common practice, no source."""
AHEAD_DAYS = (0, 30, 60, 90, 180)


@dataclass(frozen=True)
class Outlook:
    """One part of a hop lot. `curve` are moments from the first assay on with what is reckoned for each, `ahead` days
    from today; both are empty where there is no assay."""

    lot: Lot
    location: Location
    quantity_micro: int
    facts: HopFacts
    curve: Sequence[tuple[datetime, AlphaToday]]
    ahead: Sequence[tuple[int, datetime, AlphaToday]]
    misses: Sequence[Miss]

    @property
    def today(self) -> AlphaToday | None:
        """What is reckoned for now."""
        return self.ahead[0][2] if self.ahead else None


def outlook_of(balance: Balance, moment: datetime) -> Outlook:
    """Return how the part of a hop lot keeps, looked at from a moment."""
    lot, place = balance.lot, balance.location
    facts = facts_of([hop_lot(lot)])[lot.pk]
    if not facts.observations:
        return Outlook(lot, place, balance.quantity_micro, facts, (), (), ())
    begins = min(facts.observations[0].since, moment)
    step = (moment + LOOKS_AHEAD - begins) / STEPS
    moments = [begins + step * number for number in range(STEPS + 1)]
    days = [moment + timedelta(days=day) for day in AHEAD_DAYS]
    found = alphas_of((lot, place, one) for one in [*moments, *days])
    known = [alpha for alpha in found if alpha]
    return Outlook(
        lot,
        place,
        balance.quantity_micro,
        facts,
        list(zip(moments, known[: len(moments)], strict=True)),
        list(zip(AHEAD_DAYS, days, known[len(moments) :], strict=True)),
        misses_of(lot, place) if len(facts.observations) > 1 else (),
    )
