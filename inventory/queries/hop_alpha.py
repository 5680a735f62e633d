"""Alpha acids of hop lots on a day: by the assay that holds, and by the storage model where warmth is known."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from brewery.science.estimates import Estimate
from brewery.science.hops import STORAGE_LAW, AlphaInStorage, Pack, alpha_in_storage, rate_by_assays
from brewery.science.ranges import OutOfRange
from brewery.science.storage import Stay, exposure
from inventory.models import Location, Lot, Posting
from inventory.queries.hop_facts import HopFacts, Observation, Rate, facts_of, hop_lot
from inventory.queries.stays import Leg, legs_since, movements_of

_SECONDS_A_DAY = 86_400


@dataclass(frozen=True)
class AlphaToday:
    """What a lot holds of alpha acids at one moment, and why: `factor` is what is left of what was certified.

    `low_pct` and `high_pct` are what it lies between by the rates that are published or fitted, `rate` is the one
    taken. `equivalent_days` are days at 20 °C in the open, or None where the certificate alone is gone by.
    """

    lot: Lot
    alpha_pct: float
    certified_pct: float
    assayed_on: date
    days: float
    equivalent_days: float | None
    why: str
    low_pct: float
    high_pct: float
    rate: Rate | None = None

    @property
    def factor(self) -> float:
        """Which part of the certified alpha is left."""
        return self.alpha_pct / self.certified_pct if self.certified_pct else 1.0

    @property
    def is_modelled(self) -> bool:
        """Whether the storage model has a say, and not the certificate alone."""
        return self.equivalent_days is not None


@dataclass(frozen=True)
class Miss:
    """By how much a later assay lay off what was foreseen from the ones before it, in % alpha; less is negative."""

    observation: Observation
    foreseen: AlphaToday

    @property
    def by_pct(self) -> float:
        """What was found less what was foreseen."""
        return self.observation.alpha_pct - self.foreseen.alpha_pct

    @property
    def is_inside(self) -> bool:
        """Whether it lay in the interval that was foreseen."""
        return self.foreseen.low_pct <= self.observation.alpha_pct <= self.foreseen.high_pct


class _Unknown(Exception):
    """The model has no say, and why."""


def alphas_of(parts: Iterable[tuple[Lot, Location, datetime]]) -> list[AlphaToday | None]:
    """Return the alpha of each part of a hop lot at its moment, in their order; None where no figure is on record.

    The place is where the part lies, or lay before it was taken. A moment to come is foreseen as if the part stayed
    where it is, as warm as it is. The same few statements however many parts.
    """
    parts = list(parts)
    lots = {lot.pk: lot for lot, _, _ in parts}
    facts, movements = facts_of(map(hop_lot, lots.values())), movements_of(list(lots.values()))
    return [
        _alpha(lot, facts[lot.pk], place, movements[lot.pk], moment) if facts[lot.pk].observations else None
        for lot, place, moment in parts
    ]


def misses_of(lot: Lot, place: Location) -> list[Miss]:
    """Return by how much each assay but the first missed what the ones before it foresaw, for the part in a place."""
    facts, movements = facts_of([hop_lot(lot)])[lot.pk], movements_of([lot])[lot.pk]
    found = facts.observations
    foreseen = (
        _alpha_by(found[:known], lot, facts, place, movements, later.since)
        for known, later in enumerate(found[1:], start=1)
    )
    return [Miss(later, before) for later, before in zip(found[1:], foreseen, strict=True)]


def _alpha(lot: Lot, facts: HopFacts, place: Location, movements: Sequence[Posting], moment: datetime) -> AlphaToday:
    return _alpha_by(facts.known_at(moment), lot, facts, place, movements, moment)


def _alpha_by(
    known: Sequence[Observation],
    lot: Lot,
    facts: HopFacts,
    place: Location,
    movements: Sequence[Posting],
    moment: datetime,
) -> AlphaToday:
    base = known[-1]
    days = max(0.0, (moment - base.since).total_seconds() / _SECONDS_A_DAY)
    told = f"{base.alpha_pct:.3g} % by {base.source} of {base.on.isoformat()}"
    legs = legs_since(place, movements, known[0].since, moment)
    try:
        rate = _rate(facts, known, legs)
        kept = _kept(base, rate, stays_between(legs, facts.packs, base.since, moment))
    except (_Unknown, OutOfRange) as why:
        words = f"the certificate stands: {why.problem}" if isinstance(why, OutOfRange) else str(why)
        alpha = base.alpha_pct
        return AlphaToday(lot, alpha, alpha, base.on, days, None, f"{told}; {words}", alpha, alpha)
    return AlphaToday(
        lot=lot,
        alpha_pct=kept.alpha_pct.value,
        certified_pct=base.alpha_pct,
        assayed_on=base.on,
        days=days,
        equivalent_days=kept.equivalent_days,
        why=f"{told}; {_words(base, days, kept, rate)}",
        low_pct=kept.alpha_pct.low,
        high_pct=kept.alpha_pct.high,
        rate=rate,
    )


def _kept(base: Observation, rate: Rate, stays: Sequence[Stay]) -> AlphaInStorage:
    if not base.alpha_pct:
        raise _Unknown("nothing is left to decay")
    return alpha_in_storage(Estimate.exact(base.alpha_pct), rate.per_day, stays)


def _words(base: Observation, days: float, kept: AlphaInStorage, rate: Rate) -> str:
    alpha, warm = kept.alpha_pct.value, ""
    if kept.is_extrapolated:
        warm = " (above 20 °C the model is carried on beyond what was published)"
    own = "" if rate.source.startswith("published") else f"; rate {rate.source}"
    return (
        f"{days:.0f} days in store, as {kept.equivalent_days:.0f} at 20 °C in the open: "
        f"factor {alpha / base.alpha_pct:.3f}, {alpha:.3g} % now{warm}{own}"
    )


def _rate(facts: HopFacts, known: Sequence[Observation], legs: Sequence[Leg]) -> Rate:
    """Return the rate to go by: what was given for the lot, its own by two assays, or what was given or published."""
    if facts.of_lot:
        return facts.of_lot
    given, problem = facts.rate_given()
    rate = _fitted(facts, known, legs) or given
    if rate is None:
        raise _Unknown(problem)
    return rate


def _fitted(facts: HopFacts, known: Sequence[Observation], legs: Sequence[Leg]) -> Rate | None:
    pair = last_pair(known)
    if pair is None:
        return None
    earlier, later = pair
    try:
        days = exposure(stays_between(legs, facts.packs, earlier.since, later.since), STORAGE_LAW)
        rate = rate_by_assays(earlier.alpha_pct, later.alpha_pct, days)
    except (_Unknown, OutOfRange):
        return None
    return Rate(rate, f"fitted to the assays of {earlier.on.isoformat()} and {later.on.isoformat()}")


def last_pair(known: Sequence[Observation]) -> tuple[Observation, Observation] | None:
    """Return the last two assays by the method of the last one: what else was found by cannot be set beside it."""
    measured = [one for one in known if one.is_measured]
    like = [one for one in measured if one.method.casefold() == measured[-1].method.casefold()]
    return (like[-2], like[-1]) if len(like) > 1 else None


def stays_between(
    legs: Sequence[Leg], packs: Sequence[tuple[datetime, Pack]], start: datetime, end: datetime
) -> list[Stay]:
    """Return how warm and in what pack a part lay between two moments, of the legs that it lay in."""
    stays = []
    for leg in legs:
        for since, until, pack in _packed(packs, max(leg.start, start), min(leg.end, end)):
            if leg.warmth_c is None:
                raise _Unknown(f"how warm {leg.location.name} is kept is not known, so the certificate stands")
            stays.append(Stay((until - since).total_seconds() / _SECONDS_A_DAY, leg.warmth_c, pack.protection))
    return stays


def _packed(
    packs: Sequence[tuple[datetime, Pack]], start: datetime, end: datetime
) -> Iterator[tuple[datetime, datetime, Pack]]:
    ends = [*(since for since, _ in packs[1:]), end]
    for (since, pack), until in zip(packs, ends, strict=True):
        since, until = max(since, start), min(until, end)
        if since < until:
            yield since, until, pack
