"""Reservations: a part of a lot is kept for something, until it is taken for that, let go, or its day is over.

There is one rule, and the ledger keeps it (`refuse_reserved`): what is taken from stock leaves what is kept for
something else, unless somebody who may override says why. A purpose is the code of where it goes: a brew, a packaging
run, a tank or a customer. What goes there draws the reservation down. For any other purpose it is let go first.
"""

from datetime import date
from uuid import UUID

from brewery.kernel.clock import brewery_day, now, on_the_wall
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Lot, Reservation
from inventory.models.dispositions import Disposition
from inventory.queries.reservations import Kept, kept_now
from inventory.services.checks import refuse_not_positive, shown
from inventory.services.posting import lock_lots
from inventory.services.refusals import LotNotReleased
from inventory.services.reserved import on_hand_micro


class NotFree(DomainError):
    code = "not_free"
    title = "That much is not free."
    template = "Of lot {lot}, {free} is free; {asked} was asked for."
    advice = "Reserve less, or take the rest from another lot."


class KeptAlready(DomainError):
    code = "kept_already"
    title = "It is kept for that already."
    template = "Of lot {lot}, {kept} is kept for {purpose} already."
    advice = "Let that go, and reserve all that is needed."


class LetGoAlready(DomainError):
    code = "let_go_already"
    title = "The reservation is let go already."
    template = "What was kept of lot {lot} for {purpose} was let go on {moment}."


@once("reserve", returns=Reservation)
def reserve(
    *, lot: Lot, quantity_micro: int, purpose: str, actor: User, request_id: UUID, until: date | None = None
) -> Reservation:
    """A quantity of the lot is kept for the purpose, through the day `until` where one is given.

    Takes the lot's lock, so that two people never keep the same sack. Raises LotNotReleased, NotFree, KeptAlready,
    InvalidInput.
    """
    refuse_not_positive(quantity_micro, "quantity", lot.material.base_unit)
    if not purpose.strip():
        raise InvalidInput(field="purpose", value=purpose, problem="Say what it is kept for, as in a brew's code.")
    today = brewery_day()
    if until and until < today:
        raise InvalidInput(field="until", value=until.isoformat(), problem="That day is over.")
    locked = lock_lots([lot])[lot.pk]
    if locked.disposition != Disposition.RELEASED:
        raise LotNotReleased(lot=locked.code, disposition=locked.get_disposition_display(), field="lot")
    kept = kept_now(today, [locked])
    _refuse_kept_already(locked, purpose.strip(), kept)
    _refuse_not_free(locked, quantity_micro, kept)
    return Reservation.objects.create(
        lot=locked,
        quantity_micro=quantity_micro,
        purpose=purpose.strip(),
        until=until,
        reserved_at=now(),
        actor=actor,
        request_id=request_id,
    )


@once("let_go", returns=Reservation)
def let_go(*, reservation: Reservation, actor: User, request_id: UUID) -> Reservation:
    """What was kept is free again. Raises LetGoAlready."""
    lot = lock_lots([reservation.lot])[reservation.lot_id]
    there = Reservation.objects.get(pk=reservation.pk)
    if there.let_go_at:
        moment = on_the_wall(there.let_go_at)
        raise LetGoAlready(lot=lot.code, purpose=there.purpose, moment=moment, field="reservation")
    there.let_go_at = now()
    there.save(update_fields=["let_go_at"])
    return there


def _refuse_kept_already(lot: Lot, purpose: str, kept: list[Kept]) -> None:
    for one in kept:
        if one.reservation.purpose == purpose:
            raise KeptAlready(lot=lot.code, kept=shown(one.kept_micro, lot), purpose=purpose, field="purpose")


def _refuse_not_free(lot: Lot, quantity_micro: int, kept: list[Kept]) -> None:
    free = on_hand_micro(lot) - sum(one.kept_micro for one in kept)
    if quantity_micro > free:
        raise NotFree(lot=lot.code, free=shown(max(0, free), lot), asked=shown(quantity_micro, lot), field="quantity")
