"""Filled tanks: what left each one for a fill, and what of it is in the packages."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.production.services.refusals import GaugeAboveTheBook, LessLeftTheTanks
from brewery.production.services.tanks import contents_or_refuse
from brewery.science.filling import left_by_gauges, shared_out
from brewery.science.ranges import OutOfRange
from brewery.science.units import format_micro
from inventory.models import Location, Lot
from inventory.queries.count_sheets import booked_then
from inventory.services.checks import refuse_not_positive
from inventory.services.counts import record_count
from inventory.services.posting import lock_lots
from inventory.services.stock import refuse_no_lines


@dataclass(frozen=True)
class TankDraw:
    """One tank of a fill: gauged at start and end, or what left it was read, or it gave the rest. In microlitres."""

    vessel: Location
    gauge_start_micro: int | None = None
    gauge_end_micro: int | None = None
    left_micro: int | None = None


@dataclass(frozen=True)
class Drained:
    """What left one tank: its lot, all that left, and what of it is in the packages."""

    tank: TankDraw
    lot: Lot
    left_micro: int
    packed_micro: int

    @property
    def lost_micro(self) -> int:
        """What left the tank and is in no package."""
        return self.left_micro - self.packed_micro


def drained(tanks: Sequence[TankDraw], packed_micro: int, rejected_micro: int, loss_micro: int) -> list[Drained]:
    """Return what left each tank, so that packages, rejects and losses add up to it.

    Where every tank was gauged, the gauges tell the loss; otherwise `loss_micro` does, and the one tank that was not
    gauged gave the rest. Raises NothingToDo, WrongPlace, VesselEmpty, InvalidInput, LessLeftTheTanks.
    """
    refuse_no_lines(tanks, "The fill")
    lots = [contents_or_refuse(tank.vessel) for tank in tanks]
    if len({tank.vessel.pk for tank in tanks}) < len(tanks):
        raise InvalidInput(field="tanks", value=tanks[0].vessel.code, problem="Name each tank once.")
    left = [_left(tank) for tank in tanks]
    needed = packed_micro + rejected_micro + loss_micro
    open_ones = left.count(None)
    known = sum(one for one in left if one is not None)
    if open_ones > 1:
        problem = "Gauge all tanks but one, or say what left them."
        raise InvalidInput(field="tanks", value=tanks[left.index(None)].vessel.code, problem=problem)
    if open_ones == 0 and loss_micro:
        raise InvalidInput(
            field="loss", value=format_micro(loss_micro, "L"), problem="The gauges tell the loss: leave it out."
        )
    if (needed > known and not open_ones) or (needed <= known and open_ones):
        raise LessLeftTheTanks(left=_litres(known), needed=_litres(needed), field="tanks")
    whole = [needed - known if one is None else one for one in left]
    parts = shared_out(packed_micro, whole)
    return [Drained(*one) for one in zip(tanks, lots, whole, parts, strict=True)]


def count_by_gauges(
    tanks: Sequence[TankDraw],
    others: Iterable[Lot],
    *,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    reason: str,
) -> None:
    """With a reason the book says of each tank at least what its gauge said at the start; what is more is a count.

    Locks the lots in the tanks and the `others` of the fill at once. Raises GaugeAboveTheBook where more left by the
    gauges than the book has and no reason is given, WrongPlace, VesselEmpty, and the refusals of the ledger.
    """
    lots = [contents_or_refuse(tank.vessel) for tank in tanks]
    lock_lots([*lots, *others])
    for tank, lot in zip(tanks, lots, strict=True):
        gauge, held = tank.gauge_start_micro or 0, booked_then(lot, tank.vessel, happened_at)
        if gauge > held and reason.strip():
            record_count(
                lot, tank.vessel, gauge, happened_at, actor=actor, request_id=request_id, reason=reason.strip()
            )
        elif gauge - (tank.gauge_end_micro or 0) > held:
            raise GaugeAboveTheBook(
                vessel=tank.vessel, gauge=_litres(gauge), held=_litres(held), lot=lot.code, field="gauge_reason"
            )


def _left(tank: TankDraw) -> int | None:
    start, end = tank.gauge_start_micro, tank.gauge_end_micro
    if (start is None) != (end is None):
        raise InvalidInput(field="tanks", value=tank.vessel.code, problem="Gauge it at the start and at the end.")
    if start is None or end is None:
        if tank.left_micro is not None:
            refuse_not_positive(tank.left_micro, "tanks", "L")
        return tank.left_micro
    if tank.left_micro is not None:
        raise InvalidInput(field="tanks", value=tank.vessel.code, problem="Its gauges tell what left it.")
    try:
        return left_by_gauges(start, end)
    except OutOfRange as wrong:
        raise InvalidInput(
            field="tanks", value=f"{tank.vessel.code} {wrong.value:g} L", problem=wrong.problem
        ) from wrong


def _litres(quantity_micro: int) -> str:
    return f"{format_micro(quantity_micro, 'L')} L"
