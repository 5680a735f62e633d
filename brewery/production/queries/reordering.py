"""Reordering: of every material that is reordered, what is there and coming, what it should be, and what to order.

What planned brews want counts through the last planned day, and the usual use from then on. Lots that wait for quality
count as there; those on hold, rejected or past their date do not.
"""

import math
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from brewery.kernel.clock import brewery_day
from brewery.production.queries.needs import expected_of, needs_of, open_plans, stocks_for
from brewery.science.reordering import (
    Demand,
    LeadTime,
    demand_of,
    fixed_quantity,
    lead_time_of,
    order_up_to,
    safety_stock,
)
from brewery.science.stock_ahead import DayAhead, first_short, stock_ahead, wanted_through
from brewery.science.units import MICRO
from inventory.models import Material, OrderDraftLine, ReorderSetting
from inventory.models.dispositions import Disposition
from inventory.queries.reorder_settings import lead_days_of, reorder_settings, used_by_day
from inventory.queries.stock import LotStock

LOOKS_AHEAD_DAYS = 120
_COUNTED = (Disposition.RELEASED, Disposition.QUARANTINED)
_PPM = 1_000_000


@dataclass(frozen=True)
class Reorder:
    """One material that is reordered, in micro-units.

    `point_micro` is what should be there or on its way; `ahead` is the stock day by day, in the material's unit, if
    nothing else is ordered. `drafted_micro` stands in an open draft.
    """

    setting: ReorderSetting
    here_micro: int
    on_order_micro: int
    safety_micro: int
    point_micro: int
    drafted_micro: int
    usual: Demand
    lead: LeadTime
    ahead: Sequence[DayAhead]
    today: date

    @property
    def material(self) -> Material:
        """The material."""
        return self.setting.material

    @property
    def position_micro(self) -> int:
        """What is there and on its way."""
        return self.here_micro + self.on_order_micro

    @property
    def proposed_micro(self) -> int:
        """What to order now: nothing while the position is above the reorder point."""
        told = self.setting
        rule = order_up_to if told.policy == ReorderSetting.Policy.UP_TO else fixed_quantity
        return rule(self.position_micro, self.point_micro, told.quantity_micro, told.pack_micro, told.least_micro)

    @property
    def is_due(self) -> bool:
        """Whether it is to be ordered."""
        return self.proposed_micro > 0

    @property
    def short_on(self) -> date | None:
        """The first day on which nothing is left if nothing else is ordered."""
        return first_short(self.ahead)

    @property
    def comes_on(self) -> date:
        """When it comes if it is ordered today."""
        return self.today + timedelta(math.ceil(self.lead.days))

    @property
    def order_by(self) -> date | None:
        """The last day on which an order comes before the safety stock is touched; today where that is over."""
        touched = next((one.day for one in self.ahead if one.stock < self.safety_micro / MICRO), None)
        return touched and max(self.today, touched - timedelta(math.ceil(self.lead.days)))


def reorders(materials: Collection[Material] | None = None) -> list[Reorder]:
    """Return every material that is reordered, or those of the ones named; the same statements however many."""
    settings = [one for one in reorder_settings() if materials is None or one.material in materials]
    if not settings:
        return []
    today, wanted = brewery_day(), [one.material for one in settings]
    plans = open_plans()
    stocks = stocks_for(wanted, {plan.code for plan in plans})
    planned: dict[int, dict[date, float]] = defaultdict(lambda: defaultdict(float))
    for need in needs_of(plans):
        planned[need.material.pk][need.plan.brew_on] += need.quantity_micro / MICRO
    facts = _Facts(
        today,
        stocks,
        {key: dict(days) for key, days in planned.items()},
        expected_of(wanted),
        used_by_day(wanted, today),
        lead_days_of(settings),
        _drafted(wanted),
    )
    return [_reorder(setting, facts) for setting in settings]


@dataclass(frozen=True)
class _Facts:
    """What is known of all the materials, each by its key."""

    today: date
    stocks: Mapping[int, Sequence[LotStock]]
    planned: Mapping[int, Mapping[date, float]]
    expected: Mapping[int, Sequence[tuple[date, int]]]
    used: Mapping[int, Sequence[float]]
    lead_days: Mapping[int, Sequence[float]]
    drafted: Mapping[int, int]


def _drafted(materials: Sequence[Material]) -> dict[int, int]:
    rows = OrderDraftLine.objects.filter(draft__state="open", material__in=materials).order_by()
    return dict(rows.values_list("material", "quantity_micro"))


def _reorder(setting: ReorderSetting, facts: _Facts) -> Reorder:
    key, today = setting.material_id, facts.today
    comes: dict[date, float] = defaultdict(float)
    for due, micro in facts.expected.get(key, ()):
        comes[due] += micro / MICRO
    here = sum(_counted_micro(one, today) for one in facts.stocks.get(key, ()))
    usual = demand_of(facts.used[key])
    lead = lead_time_of(facts.lead_days.get(key, ()), setting.lead_days)
    service = setting.service_ppm / _PPM
    ahead = stock_ahead(
        here / MICRO,
        today,
        LOOKS_AHEAD_DAYS,
        comes=comes,
        planned=facts.planned.get(key, {}),
        usual=usual,
        service=service,
    )
    safety = safety_stock(usual, lead, service, setting.review_days)
    until = wanted_through(ahead, today + timedelta(math.ceil(lead.days) + setting.review_days))
    return Reorder(
        setting=setting,
        here_micro=here,
        on_order_micro=round(sum(comes.values()) * MICRO),
        safety_micro=_in_steps(safety, setting.material),
        point_micro=_in_steps(until + safety, setting.material),
        drafted_micro=facts.drafted.get(key, 0),
        usual=usual,
        lead=lead,
        ahead=ahead,
        today=today,
    )


def _in_steps(amount: float, material: Material) -> int:
    """So much, rounded up to whole packages, or to a hundredth of the unit: nobody can be surer than that."""
    step = MICRO if material.base_unit == Material.BaseUnit.EACH else MICRO // 100
    return math.ceil(round(amount * MICRO / step, 6)) * step


def _counted_micro(stock: LotStock, today: date) -> int:
    """What of a lot counts: neither on hold nor past its date, and not kept for anything but planned brews."""
    lot = stock.lot
    if lot.disposition not in _COUNTED or (lot.best_before and lot.best_before < today):
        return 0
    return max(0, stock.on_hand_micro - stock.reserved_micro)
