"""Using up: which lots of hops and malt the planned brews take so that least is lost, beside first expired, first out.

Hops count by the alpha acids that they would still hold on the last day looked at, as the storage model foresees; malt
by its weight, a little less the nearer it is to its date. A lot past its date by then counts for nothing.
"""

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property

from brewery.kernel.clock import brewery_day, brewery_zone
from brewery.production.models import BrewPlan
from brewery.production.queries.needs import open_plans
from brewery.production.queries.sheets import sheets_in_full
from brewery.production.queries.wanted import Wanted, wanted_by
from brewery.science.units import MICRO
from brewery.science.using_up import Comparison, Plan, Store, Want, least_loss
from inventory.models import Lot, Material
from inventory.queries.hop_alpha import AlphaToday, alphas_of
from inventory.queries.proposals import takeable
from inventory.queries.reservations import kept_now
from inventory.queries.stock import LotStock

USUAL_DAYS, MOST_DAYS = 60, 400
KINDS = (Material.Kind.HOP, Material.Kind.MALT)
_NOON = time(12)
_GRAM_MICRO = 1000
_NEAR = 0.1
"""What malt on its last day counts less than malt with a year to go: common practice, no source."""


@dataclass(frozen=True)
class Taking:
    """What one plan takes of one lot, in milligrams: `weight_micro` into the brew, `out_micro` out of the stock."""

    plan: BrewPlan
    lot: Lot
    weight_micro: int
    out_micro: int
    alpha_pct: float | None


@dataclass(frozen=True)
class MaterialPlan:
    """One material: the takings of least loss and those of first expired, first out; what each loses, in kg.

    `short` says by plan what no lot is left for, as the sheet counts: a weight, or alpha acids.
    """

    material: Material
    best: tuple[Taking, ...]
    plain: tuple[Taking, ...]
    best_lost_kg: float
    plain_lost_kg: float
    short: Mapping[str, int]
    is_proven: bool

    @property
    def saved_kg(self) -> float:
        """What is saved: alpha acids of a hop, weight of a malt."""
        return self.plain_lost_kg - self.best_lost_kg

    @property
    def is_hop(self) -> bool:
        """Whether it is counted by alpha acids."""
        return self.material.kind == Material.Kind.HOP


@dataclass(frozen=True)
class UsingUp:
    """All materials that the plans up to a day want."""

    until: date
    whole: bool
    plans: tuple[BrewPlan, ...]
    materials: tuple[MaterialPlan, ...]

    @property
    def takings(self) -> list[Taking]:
        """Return what is proposed to be taken."""
        return [taking for one in self.materials for taking in one.best]

    @property
    def saved_alpha_kg(self) -> float:
        """The alpha acids that are saved."""
        return sum(one.saved_kg for one in self.materials if one.is_hop)

    @cached_property
    def digest(self) -> str:
        """What tells this proposal from any other."""
        rows = sorted((one.plan.code, one.lot.pk, one.out_micro) for one in self.takings)
        return hashlib.sha256(json.dumps(rows).encode()).hexdigest()


def using_up(days: int = USUAL_DAYS, *, whole: bool = False) -> UsingUp:
    """Return what the plans of the next days had best take. Some ten statements however many plans and lots."""
    today = brewery_day()
    until = today + timedelta(days=days)
    plans = [plan for plan in open_plans() if plan.brew_on <= until]
    wanted = _wanted(plans)
    materials = {line.material.pk: line.material for _, line in wanted}
    stocks = takeable(materials.values(), today=today, use_on=today)
    alphas = _Alphas(stocks, {max(plan.brew_on, today) for plan in plans} | {until})
    kept = _kept(plans, today)
    found = []
    for key in sorted(materials, key=lambda key: materials[key].code):
        lines = [(plan, line) for plan, line in wanted if line.material.pk == key]
        found.append(_Material(materials[key], lines, stocks.get(key, []), alphas, kept, until).planned(whole))
    return UsingUp(until, whole, tuple(plans), tuple(found))


Kept = Mapping[tuple[str, int], int]
"""What is kept for a plan of a lot already, by the plan's code and the lot's key."""


def _wanted(plans: Sequence[BrewPlan]) -> list[tuple[BrewPlan, Wanted]]:
    sheets = sheets_in_full().in_bulk({plan.sheet_id for plan in plans})
    return [
        (plan, line)
        for plan in plans
        for line in wanted_by(sheets[plan.sheet_id], plan.cold_wort_micro, in_the_cold=True)
        if line.material.kind in KINDS
    ]


def _kept(plans: Iterable[BrewPlan], today: date) -> Kept:
    codes = {plan.code for plan in plans}
    found: dict[tuple[str, int], int] = defaultdict(int)
    for one in kept_now(today):
        if one.reservation.purpose in codes:
            found[one.reservation.purpose, one.reservation.lot_id] += one.kept_micro
    return found


class _Alphas:
    """The alpha acids of every hop lot at noon of every day that matters: foreseen for all of them at once."""

    def __init__(self, stocks: Mapping[int, Sequence[LotStock]], days: Iterable[date]) -> None:
        hops = [one for some in stocks.values() for one in some if one.lot.material.kind == Material.Kind.HOP]
        asked = [(stock, day) for stock in hops for day in days]
        noons = {day: datetime.combine(day, _NOON, brewery_zone()) for _, day in asked}
        found = alphas_of((stock.lot, stock.places[0].location, noons[day]) for stock, day in asked)
        self._found: dict[tuple[int, date], AlphaToday | None] = {
            (stock.lot.pk, day): alpha for (stock, day), alpha in zip(asked, found, strict=True)
        }

    def pct(self, lot: Lot, day: date) -> float | None:
        """Return the alpha acids of the lot on the day in %, or None where nobody knows."""
        alpha = self._found.get((lot.pk, max(day, brewery_day())))
        return alpha.alpha_pct if alpha else None


@dataclass(frozen=True)
class _Material:
    """One material, who wants it, and its lots."""

    material: Material
    lines: Sequence[tuple[BrewPlan, Wanted]]
    stocks: Sequence[LotStock]
    alphas: _Alphas
    kept: Kept
    until: date

    def planned(self, whole: bool) -> MaterialPlan:
        """Return both ways to meet the wants."""
        found: Comparison = least_loss([self._store(one) for one in self.stocks], list(self._wants()), whole=whole)
        return MaterialPlan(
            self.material,
            self._takings(found.best),
            self._takings(found.first_expired),
            found.best.lost,
            found.first_expired.lost,
            self._short(found.best),
            found.is_proven,
        )

    def _store(self, stock: LotStock) -> Store:
        package = stock.lot.package_micro
        return Store(str(stock.lot.pk), stock.free_micro / MICRO, self._left(stock.lot), package and package / MICRO)

    def _left(self, lot: Lot) -> float:
        if lot.best_before and lot.best_before < self.until:
            return 0.0
        if self.material.kind == Material.Kind.HOP:
            return (self.alphas.pct(lot, self.until) or self._mean_pct) / 100
        days = (lot.best_before - self.until).days if lot.best_before else 365
        return 1 - _NEAR * (1 - min(365, days) / 365)

    @property
    def _mean_pct(self) -> float:
        """What a lot of unknown alpha is taken to hold: the mean of those that are known."""
        known = [pct for one in self.stocks if (pct := self.alphas.pct(one.lot, self.until))]
        return sum(known) / len(known) if known else 1.0

    def _wants(self) -> Iterable[Want]:
        left = dict(self.kept)
        for plan, line in self.lines:
            amount = line.alpha_micro if line.alpha_micro is not None else line.quantity_micro or 0
            amount -= self._covered(plan, line, amount, left)
            yield Want(f"{plan.code}\n{line.key}", amount / MICRO, dict(self._strengths(plan, line)))

    def _covered(self, plan: BrewPlan, line: Wanted, amount: int, left: dict[tuple[str, int], int]) -> int:
        """Return what of a line is met by what is kept for the plan already, and take that off."""
        met = 0
        for stock in self.stocks:
            key, strength = (plan.code, stock.lot.pk), self._strength(plan, line, stock.lot)
            if left.get(key) and strength:
                part = min(left[key], round((amount - met) / strength))
                left[key] -= part
                met += round(part * strength)
        return min(met, amount)

    def _strengths(self, plan: BrewPlan, line: Wanted) -> Iterable[tuple[str, float]]:
        for stock in self.stocks:
            lot = stock.lot
            is_good = not lot.best_before or lot.best_before >= plan.brew_on
            # What is kept for the plan of this lot is all that it takes of it: a second reservation is refused.
            if is_good and not self.kept.get((plan.code, lot.pk)):
                yield str(lot.pk), self._strength(plan, line, lot)

    def _strength(self, plan: BrewPlan, line: Wanted, lot: Lot) -> float:
        if line.alpha_micro is None:
            return 1.0
        return (self.alphas.pct(lot, plan.brew_on) or 0.0) / 100

    def _takings(self, plan: Plan) -> tuple[Taking, ...]:
        """Return the takes lot by lot for each plan, in whole grams, and never more than is free."""
        plans = {one.code: one for one, _ in self.lines}
        by_lot = {str(one.lot.pk): one for one in self.stocks}
        sums: dict[tuple[str, str], list[float]] = defaultdict(lambda: [0.0, 0.0])
        for take in plan.takes:
            both = sums[take.want.partition("\n")[0], take.store]
            both[0] += take.kg
            both[1] += take.out_kg
        free = {key: one.free_micro for key, one in by_lot.items()}
        found = []
        for (code, store), (kg, out) in sorted(sums.items(), key=lambda item: (plans[item[0][0]].brew_on, item[0])):
            out_micro = min(free[store], round(out * MICRO / _GRAM_MICRO) * _GRAM_MICRO)
            free[store] -= out_micro
            weight = min(out_micro, round(kg * MICRO / _GRAM_MICRO) * _GRAM_MICRO)
            lot = by_lot[store].lot
            if weight:
                found.append(Taking(plans[code], lot, weight, out_micro, self.alphas.pct(lot, plans[code].brew_on)))
        return tuple(found)

    def _short(self, plan: Plan) -> Mapping[str, int]:
        sums: dict[str, int] = defaultdict(int)
        for want, amount in plan.short.items():
            sums[want.partition("\n")[0]] += round(amount * MICRO)
        return sums
