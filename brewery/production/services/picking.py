"""Picking: what is taken for an order is reserved for it under its number, until it is shipped or put back."""

from uuid import UUID, uuid5

from brewery.kernel.clock import brewery_day, now
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import CustomerOrder, Pick
from brewery.production.queries.customer_orders import OrderProgress, open_picks
from brewery.production.queries.picking import LEAVES_FROM, delivery_day, free_lots, proposals_for, short_life
from brewery.production.services.customer_orders import line_for, locked_order, refuse_not_open, touch
from brewery.production.services.dispatch_refusals import (
    KeepsTooShort,
    MoreThanWanted,
    NotFreeToPick,
    PickGone,
)
from brewery.science.units import MICRO
from inventory.models import Location, Lot, Reservation
from inventory.models.dispositions import Disposition
from inventory.queries.customers import minimum_days
from inventory.queries.stock import stock_of_lots
from inventory.services.posting import lock_lots
from inventory.services.refusals import LotNotReleased
from inventory.services.reservations import let_go, reserve
from inventory.services.stock import refuse_other_places


@once("pick", returns=Pick)
def pick(
    *,
    order: CustomerOrder,
    lot: Lot,
    location: Location,
    count: int,
    actor: User,
    request_id: UUID,
    more_because: str = "",
    short_life_reason: str = "",
) -> Pick:
    """So many of the lot are taken from the place for the order, and kept for it.

    Takes the order's lock and then the lot's, so that two people never pick the same pallet. Raises OrderNotOpen,
    WrongPlace, NotOnTheOrder, LotNotReleased, KeepsTooShort and MoreThanWanted without a reason, and NotFreeToPick,
    which names what can be picked instead.
    """
    refuse_other_places(location, LEAVES_FROM, "store or pallet")
    if count <= 0:
        raise InvalidInput(field="count", value=count, problem="Give 1 or more.")
    progress = locked_order(order)
    refuse_not_open(progress)
    locked = lock_lots([lot])[lot.pk]
    line = line_for(progress, locked)
    if locked.disposition != Disposition.RELEASED:
        raise LotNotReleased(lot=locked.code, disposition=locked.get_disposition_display(), field="lot")
    if not short_life_reason.strip():
        _refuse_short_life(progress, locked)
    if count > line.open and not more_because.strip():
        raise MoreThanWanted(
            material=locked.material, open=line.open, order=progress.order.number, asked=count, field="count"
        )
    _refuse_not_free(progress, locked, location, count)
    _keep(progress.order, locked, count, actor, request_id)
    touch(progress.order)
    return Pick.objects.create(
        line=line.line,
        lot=locked,
        location=location,
        count=count,
        more_because=more_because.strip() if count > line.open else "",
        short_life_reason=short_life_reason.strip(),
        picked_at=now(),
        actor=actor,
        request_id=request_id,
    )


@once("put_back", returns=Pick)
def put_back(*, pick: Pick, actor: User, request_id: UUID) -> Pick:
    """What was picked stays where it lies, free for others. Raises PickGone."""
    progress = locked_order(pick.line.order)
    locked = lock_lots([pick.lot])[pick.lot_id]
    there = Pick.objects.select_related("line__order").get(pk=pick.pk)
    if there.put_back_at or there.shipment_id:
        raise PickGone(count=there.count, lot=locked.code, field="pick")
    there.put_back_at = now()
    there.save(update_fields=["put_back_at"])
    _keep(progress.order, locked, -there.count, actor, request_id)
    touch(progress.order)
    return there


def _refuse_short_life(progress: OrderProgress, lot: Lot) -> None:
    customer, day = progress.order.customer, delivery_day(progress.order)
    asked = minimum_days(customer, [lot.material])[lot.material_id]
    because = short_life(lot, asked, day)
    if because:
        raise KeepsTooShort(lot=lot.code, customer=customer, day=day.isoformat(), because=because, field="lot")


def _refuse_not_free(progress: OrderProgress, lot: Lot, location: Location, count: int) -> None:
    """Raise NotFreeToPick, with what the first to expire are that can be picked instead."""
    (free,) = free_lots(stock_of_lots([lot], brewery_day()))
    there = free.in_place(location)
    if count <= there:
        return
    refusal = NotFreeToPick(lot=lot.code, location=location, free=there, asked=count, field="count")
    refusal.instead = _instead(progress, lot, location)
    raise refusal


def _instead(progress: OrderProgress, lot: Lot, location: Location) -> str:
    """Return what to pick instead of what is gone, in words."""
    ways = [
        f"{way.count} of lot {way.lot.code} in {way.location}"
        for proposal in proposals_for(progress)
        if proposal.line.material_id == lot.material_id
        for way in proposal.lines
        if (way.lot, way.location) != (lot, location)
    ]
    return f"Pick instead: {'; '.join(ways)}." if ways else "There is no more of it that could be picked."


def _keep(order: CustomerOrder, lot: Lot, more: int, actor: User, request_id: UUID) -> None:
    """Keep so many more of the lot for the order, or fewer: one reservation a lot, of all that is picked of it."""
    picked = sum(open_picks().filter(line__order=order, lot=lot).values_list("count", flat=True))
    for kept in Reservation.objects.filter(purpose=order.number, lot=lot, let_go_at=None):
        let_go(reservation=kept, actor=actor, request_id=uuid5(request_id, f"let go {kept.pk}"))
    count = picked + max(0, more)
    # What was held meanwhile cannot be reserved, and is not shipped either.
    if count and lot.disposition == Disposition.RELEASED:
        reserve(
            lot=lot,
            quantity_micro=count * MICRO,
            purpose=order.number,
            actor=actor,
            request_id=uuid5(request_id, f"keep {lot.pk}"),
        )
