"""Needs: what the planned brews want of each material and when, what of it is short, and what can be brewed now.

A shortage is told by date: what is here and good on the day, and what is expected by orders due before it, less what
the plans of earlier days want. What is kept for anything else than a planned brew is not theirs.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from django.db.models import QuerySet

from brewery.kernel.clock import brewery_day, brewery_zone
from brewery.production.models import BrewPlan, BrewSheet
from brewery.production.queries.pick_lists import PickLine, pick_list
from brewery.production.queries.sheets import sheets_in_full
from brewery.production.queries.wanted import wanted_by
from inventory.models import Balance, Location, Material
from inventory.models.dispositions import Disposition
from inventory.queries.hop_alpha import alphas_of
from inventory.queries.orders import outstanding_lines, progress_of
from inventory.queries.proposals import lots_in_stock
from inventory.queries.reservations import kept_now
from inventory.queries.stock import LotStock, stock_of_lots

_NOON = time(12)


@dataclass(frozen=True)
class Need:
    """What one plan wants of one material, in micro-units; hops by alpha acids as weighed by the lots that are here.

    `is_estimate` says that no lot with a known alpha is here, so that nothing could be weighed.
    """

    plan: BrewPlan
    material: Material
    quantity_micro: int
    is_estimate: bool = False


@dataclass(frozen=True)
class Shortage:
    """What one material is short of on one day, after all plans before and on it, and what orders bring by then."""

    material: Material
    day: date
    wanted_micro: int
    available_micro: int
    expected_micro: int
    missing_micro: int
    plans: tuple[str, ...]


@dataclass(frozen=True)
class Brewable:
    """A sheet in use, and how much of it can be brewed with what is here and free; what runs out first, if anything."""

    sheet: BrewSheet
    is_enough: bool
    missing: tuple[PickLine, ...]


def plans() -> QuerySet[BrewPlan]:
    """Return the plans, each with its sheet, beer, vessel and brew."""
    return BrewPlan.objects.select_related("sheet__beer", "vessel", "brew", "planned_by")


def open_plans() -> list[BrewPlan]:
    """Return the plans that are neither started nor called off, the next day first."""
    return list(plans().filter(state=BrewPlan.State.PLANNED).order_by("brew_on", "code"))


def needs_of(wanting: Iterable[BrewPlan]) -> list[Need]:
    """Return what the plans want, plan by plan; the same statements however many plans."""
    wanting = list(wanting)
    sheets = sheets_in_full().in_bulk({plan.sheet_id for plan in wanting})
    lines = [
        (plan, line)
        for plan in wanting
        for line in wanted_by(sheets[plan.sheet_id], plan.cold_wort_micro, in_the_cold=True)
    ]
    hops = {line.material.pk: line.material for _, line in lines if line.alpha_micro is not None}
    alpha = _alpha_pct(hops.values(), min((plan.brew_on for plan in wanting), default=brewery_day()))
    sums: dict[tuple[int, int], int] = defaultdict(int)
    unknown: set[tuple[int, int]] = set()
    for plan, line in lines:
        key = (plan.pk, line.material.pk)
        sums[key] += line.quantity_micro or 0
        if line.alpha_micro is not None:
            pct = alpha.get(line.material.pk)
            sums[key] += round(line.alpha_micro * 100 / pct) if pct else 0
            unknown |= set() if pct else {key}
    by_key = {plan.pk: plan for plan in wanting}
    materials = {line.material.pk: line.material for _, line in lines}
    return [
        Need(by_key[plan], materials[material], sums[plan, material], (plan, material) in unknown)
        for plan, material in sums
    ]


def shortages(wanting: Sequence[BrewPlan]) -> list[Shortage]:
    """Return what is short, the first day first; plans are taken in the order of their days."""
    by_material: dict[int, list[Need]] = defaultdict(list)
    for need in needs_of(wanting):
        by_material[need.material.pk].append(need)
    materials = [needs[0].material for needs in by_material.values()]
    stocks = stocks_for(materials, {plan.code for plan in wanting})
    expected = expected_of(materials)
    found = []
    for key, needs in by_material.items():
        found += _short(needs, stocks[key], expected[key])
    return sorted(found, key=lambda one: (one.day, one.material.code))


def brewable() -> list[Brewable]:
    """Return every sheet in use with whether its whole length can be brewed today with what is free."""
    sheets = list(sheets_in_full().filter(state=BrewSheet.State.IN_USE).order_by("beer__code", "-version"))
    moment = datetime.combine(brewery_day(), _NOON, brewery_zone())
    found = []
    for sheet in sheets:
        lines = pick_list(wanted_by(sheet, sheet.cold_wort_micro), [], "", moment)
        missing = tuple(line for line in lines if line.missing_micro)
        found.append(Brewable(sheet, not missing, missing))
    return found


def _short(needs: Sequence[Need], stocks: Sequence[LotStock], expected: Sequence[tuple[date, int]]) -> list[Shortage]:
    """Return the days on which the needs of one material are more than there is and comes by then."""
    days: dict[date, list[Need]] = defaultdict(list)
    for need in needs:
        days[need.plan.brew_on].append(need)
    found, wanted = [], 0
    for day in sorted(days):
        wanted += sum(need.quantity_micro for need in days[day])
        here = sum(one.free_micro for one in stocks if not one.lot.best_before or one.lot.best_before >= day)
        comes = sum(micro for due, micro in expected if due <= day)
        if wanted > here + comes:
            codes = tuple(need.plan.code for need in days[day])
            missing = wanted - here - comes
            found.append(Shortage(needs[0].material, day, wanted, here, comes, missing, codes))
    return found


def stocks_for(materials: Sequence[Material], purposes: set[str]) -> dict[int, list[LotStock]]:
    """Return the lots of each material; what is kept for one of the purposes counts as free for them all."""
    today = brewery_day()
    lots = lots_in_stock(materials)
    own: dict[int, int] = defaultdict(int)
    for kept in kept_now(today, lots):
        if kept.reservation.purpose in purposes:
            own[kept.reservation.lot_id] += kept.kept_micro
    found: dict[int, list[LotStock]] = defaultdict(list)
    for stock in stock_of_lots(lots, today):
        reserved = stock.reserved_micro - own[stock.lot.pk]
        found[stock.lot.material_id].append(LotStock(stock.lot, today, stock.places, reserved))
    return found


def expected_of(materials: Sequence[Material]) -> dict[int, list[tuple[date, int]]]:
    found: dict[int, list[tuple[date, int]]] = defaultdict(list)
    for line in progress_of(outstanding_lines().filter(material__in=materials)):
        found[line.line.material_id].append((line.line.due_on, line.outstanding_micro))
    return found


def _alpha_pct(hops: Iterable[Material], day: date) -> dict[int, float]:
    """Return what the first lot of each hop that has a known alpha will hold on the day, in %."""
    moment = datetime.combine(max(day, brewery_day()), _NOON, brewery_zone())
    lots = [lot for lot in lots_in_stock(list(hops)) if lot.disposition == Disposition.RELEASED]
    places = {
        row.lot_id: row.location
        for row in Balance.objects.held()
        .filter(lot__in=lots, location__kind__in=Location.STOCK)
        .select_related("location__logistic_unit__stands_in")
        .order_by("-pk")
    }
    found: dict[int, float] = {}
    for alpha in alphas_of((lot, places[lot.pk], moment) for lot in lots):
        if alpha and alpha.alpha_pct:
            found.setdefault(alpha.lot.material_id, alpha.alpha_pct)
    return found
