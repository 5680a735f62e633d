"""Planned brews: put on a day and into a vessel, changed, called off, started; and what is kept for them."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

from django.db.models import QuerySet

from brewery.kernel.clock import brewery_day, now
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import BrewPlan, BrewSheet
from brewery.production.queries.needs import needs_of
from brewery.production.services.plan_refusals import PlanChangedMeanwhile, PlanNotOpen, VesselTaken
from brewery.production.services.sheets import locked_in_use
from brewery.production.services.tanks import refuse_other_than_tanks
from brewery.production.services.work import start_brew
from inventory.models import Location, Material, Reservation
from inventory.queries.proposals import lots_in_stock, propose
from inventory.services.alert_bells import Bell, ring_for_alerts
from inventory.services.checks import refuse_not_positive
from inventory.services.posting import lock_lots
from inventory.services.refusals import ReasonMissing
from inventory.services.registers import refuse_code_in_use
from inventory.services.reservations import let_go, reserve

CHANGEABLE = ("sheet", "brew_on", "cold_wort_micro", "vessel")
FURTHEST = timedelta(days=2 * 366)
"""How far ahead a brew is planned (common practice, no source)."""
_MOST_CODE = 20


@once("plan_brew", returns=BrewPlan)
def plan_brew(
    *,
    code: str,
    sheet: BrewSheet,
    brew_on: date,
    actor: User,
    request_id: UUID,
    cold_wort_micro: int | None = None,
    vessel: Location | None = None,
) -> BrewPlan:
    """The brew is planned for the day, for so much wort at 20 °C as the sheet says unless another volume is given.

    Raises InvalidInput, SheetNotInUse, WrongPlace, VesselTaken.
    """
    taken = Location.objects.filter(code=code).exists() or BrewPlan.objects.filter(code=code).exists()
    refuse_code_in_use(taken, code)
    if not code.strip() or len(code) > _MOST_CODE:
        raise InvalidInput(field="code", value=code, problem=f"Give 1 to {_MOST_CODE} characters.")
    plan = BrewPlan(
        code=code,
        sheet=sheet,
        brew_on=brew_on,
        cold_wort_micro=sheet.cold_wort_micro if cold_wort_micro is None else cold_wort_micro,
        vessel=vessel,
        planned_by=actor,
        planned_at=now(),
        request_id=request_id,
    )
    _refuse_day(brew_on)
    _refuse_plan(plan)
    plan.save()
    ring_for_alerts(Bell.PLAN)
    return plan


@once("change_plan", returns=BrewPlan)
def change_plan(
    *, plan: BrewPlan, revision: int, changes: Mapping[str, Any], actor: User, request_id: UUID
) -> BrewPlan:
    """The plan says what `changes` name of CHANGEABLE. What is kept for it stays kept.

    Raises PlanNotOpen, PlanChangedMeanwhile, and what `plan_brew` raises.
    """
    locked = _open_plan(plan)
    if locked.revision != revision:
        raise PlanChangedMeanwhile(plan=locked.code, revision=locked.revision, seen=revision, field="revision")
    if changes.get("brew_on", locked.brew_on) != locked.brew_on:
        _refuse_day(changes["brew_on"])
    for name in CHANGEABLE:
        if name in changes:
            setattr(locked, name, changes[name])
    _refuse_plan(locked)
    locked.revision += 1
    locked.save()
    ring_for_alerts(Bell.PLAN)
    return locked


@once("call_off_plan", returns=BrewPlan)
def call_off_plan(*, plan: BrewPlan, reason: str, actor: User, request_id: UUID) -> BrewPlan:
    """The brew will not be, and nothing is kept for it any more. Raises ReasonMissing, PlanNotOpen."""
    if not reason.strip():
        raise ReasonMissing(what="Calling off a brew", field="reason")
    locked = _open_plan(plan)
    locked.state, locked.called_off_because = BrewPlan.State.CALLED_OFF, reason.strip()
    locked.revision += 1
    locked.save()
    ring_for_alerts(Bell.PLAN)
    _let_all_go(locked, actor, request_id)
    return locked


@once("start_plan", returns=BrewPlan)
def start_plan(*, plan: BrewPlan, started_at: datetime, actor: User, request_id: UUID) -> BrewPlan:
    """The brew is under way under the plan's code, by its sheet and for its length; what is kept for it stays so.

    Raises PlanNotOpen and what `start_brew` raises.
    """
    locked = _open_plan(plan)
    locked.brew = start_brew(
        code=locked.code,
        beer=locked.sheet.beer,
        started_at=started_at,
        sheet=locked.sheet,
        cold_wort_micro=locked.cold_wort_micro,
        actor=actor,
        request_id=uuid5(request_id, "brew"),
    )
    locked.state = BrewPlan.State.STARTED
    locked.revision += 1
    locked.save()
    ring_for_alerts(Bell.PLAN)
    return locked


@once("reserve_for_plan", returns=BrewPlan)
def reserve_for_plan(*, plan: BrewPlan, actor: User, request_id: UUID) -> BrewPlan:
    """All that is free of what the plan needs is kept for it until its day is over, first expired first out.

    What was kept for it before is let go first, so that the day's own lots are kept and each once. Hops that are
    wanted as alpha acids are kept by what their lots will hold on the day. Raises PlanNotOpen.
    """
    locked = _open_plan(plan)
    wanted: dict[Material, int] = defaultdict(int)
    for need in needs_of([locked]):
        wanted[need.material] += need.quantity_micro
    kept_lots = [kept.lot for kept in _kept_for(locked)]
    # All that is let go or kept below is locked here, at once and in order, so that nobody waits in a circle.
    lots = lock_lots([*kept_lots, *lots_in_stock(list(wanted))])
    _let_all_go(locked, actor, request_id)
    today = brewery_day()
    until = max(today, locked.brew_on)
    for material, quantity_micro in wanted.items():
        together: dict[int, int] = defaultdict(int)
        for line in propose(material, quantity_micro, today=today, use_on=until).lines:
            together[line.lot.pk] += line.quantity_micro
        for lot, part in together.items():
            reserve(
                lot=lots[lot],
                quantity_micro=part,
                purpose=locked.code,
                until=until,
                actor=actor,
                request_id=uuid5(request_id, f"keep {lot}"),
            )
    return locked


def _open_plan(plan: BrewPlan) -> BrewPlan:
    """Return the locked plan. Raises PlanNotOpen."""
    locked = BrewPlan.objects.select_for_update(of=("self",)).select_related("sheet__beer").get(pk=plan.pk)
    if locked.state != BrewPlan.State.PLANNED:
        raise PlanNotOpen(plan=locked.code, state=locked.get_state_display(), field="plan")
    return locked


def _refuse_day(day: date) -> None:
    """Raise InvalidInput for a day that is over, or further away than anybody plans."""
    today = brewery_day()
    if not today <= day <= today + FURTHEST:
        problem = f"Give a day from {today.isoformat()} to {(today + FURTHEST).isoformat()}."
        raise InvalidInput(field="brew_on", value=day.isoformat(), problem=problem)


def _refuse_plan(plan: BrewPlan) -> None:
    locked_in_use(plan.sheet)
    refuse_not_positive(plan.cold_wort_micro, "cold_wort", "L")
    if plan.vessel is None:
        return
    refuse_other_than_tanks(plan.vessel)
    Location.objects.select_for_update().get(pk=plan.vessel.pk)
    others = BrewPlan.objects.filter(vessel=plan.vessel, brew_on=plan.brew_on, state=BrewPlan.State.PLANNED)
    other = others.exclude(pk=plan.pk).exclude(sheet__beer=plan.sheet.beer).first()
    if other:
        raise VesselTaken(vessel=plan.vessel, other=other.code, day=plan.brew_on.isoformat(), field="vessel")


def _let_all_go(plan: BrewPlan, actor: User, request_id: UUID) -> None:
    for kept in _kept_for(plan):
        let_go(reservation=kept, actor=actor, request_id=uuid5(request_id, f"let go {kept.pk}"))


def _kept_for(plan: BrewPlan) -> QuerySet[Reservation]:
    return Reservation.objects.filter(purpose=plan.code, let_go_at=None).select_related("lot").order_by("lot")
