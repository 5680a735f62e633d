"""Returns to suppliers: what was rejected goes back to where it came from."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.clock import now
from brewery.kernel.errors import DomainError
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Event, Location, Lot
from inventory.models.dispositions import Disposition
from inventory.services.posting import recording
from inventory.services.refusals import ReasonMissing
from inventory.services.registers import boundary
from inventory.services.stock import refuse_other_places


class NotRejected(DomainError):
    code = "not_rejected"
    title = "Only rejected lots go back."
    template = "Lot {lot} is {disposition}; only what is rejected goes back to its supplier."
    advice = "Have quality reject it first."


class NoSupplierToGoBackTo(DomainError):
    code = "no_supplier_to_go_back_to"
    title = "No supplier sent it."
    template = "Lot {lot} was not delivered by a supplier: it was made here."
    advice = "Destroy it instead."


@once("send_back", returns=Event)
def send_back(
    *,
    lot: Lot,
    location: Location,
    quantity_micro: int,
    reason: str,
    actor: User,
    request_id: UUID,
    reference: str = "",
    happened_at: datetime | None = None,
) -> Event:
    """A quantity of the rejected lot has gone back to its supplier; `reference` is the number of the return note.

    Without `happened_at` it goes now. Raises ReasonMissing, NotRejected, NoSupplierToGoBackTo, WrongPlace, and the
    refusals of the ledger.
    """
    if not reason:
        raise ReasonMissing(what="A return to a supplier", field="reason")
    refuse_other_places(location, Location.STOCK, "store, silo, brink or pallet")
    with recording(
        Event.Kind.SEND_BACK,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at or now(),
        uses=[lot],
        reference=reference,
        reason=reason,
    ) as record:
        locked = record.lot(lot)
        if locked.supplier_id is None:
            raise NoSupplierToGoBackTo(lot=locked.code, field="lot")
        if locked.disposition != Disposition.REJECTED:
            disposition = Disposition(locked.disposition).label
            raise NotRejected(lot=locked.code, disposition=disposition, field="lot")
        record.post(locked, from_=location, to=boundary(Location.Kind.SENT_BACK), quantity_micro=quantity_micro)
    return record.event
