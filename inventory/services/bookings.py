"""Booking a delivery: the draft becomes lots in their places, all in one transaction, once."""

from collections.abc import Sequence
from dataclasses import replace
from uuid import UUID

from django.db.models import OuterRef, Subquery

from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Delivery, DeliveryLine, Event, Location, LogisticUnit, Lot, Party
from inventory.queries.deliveries import lines_of
from inventory.services.booking_faults import faults_of
from inventory.services.deliveries import ReceivedLot, receive_lots
from inventory.services.delivery_drafts import locked_draft, name_of, note_change
from inventory.services.draft_refusals import NotBookable
from inventory.services.line_faults import goes_on_pallet, received
from inventory.services.pallets import enter_pallet


@once("book_delivery", returns=Delivery)
def book_delivery(
    *, delivery: Delivery, version: int, actor: User, request_id: UUID, unclean_reason: str = ""
) -> Delivery:
    """Every line of the draft is a lot in its place, on its pallet where it came on one, and the draft is booked.

    `unclean_reason` says why a brink was filled that was not cleaned.
    Raises NotBookable with every fault beside its field, ChangedMeanwhile for any change since `version`, DraftBooked
    for the second of two people, DraftDiscarded, and the refusals of the ledger.
    """
    draft = locked_draft(delivery, version, (), whole=True)
    # The bookings of one supplier take turns, so that the same note in two drafts is seen by the second.
    Party.objects.select_for_update(no_key=True).get(pk=draft.supplier_id)
    lines = list(lines_of(draft))
    faults = faults_of(draft, lines)
    if faults:
        raise NotBookable(faults, delivery=name_of(draft).capitalize())
    event = receive_lots(
        supplier=draft.supplier,
        note_number=draft.note_number,
        lines=_on_pallets(draft, lines, request_id),
        happened_at=draft.arrived_at,
        actor=actor,
        request_id=request_id,
        unclean_reason=unclean_reason,
    )
    _tie(draft, event)
    note_change(draft, actor, [], "booked it", state=Delivery.State.BOOKED, event=event)
    return draft


def _on_pallets(draft: Delivery, lines: Sequence[DeliveryLine], request_id: UUID) -> list[ReceivedLot]:
    """Return the lines as the ledger takes them; those that came on a pallet and go into a store stay on it."""
    places: dict[str, Location] = {}
    lots = []
    for line in lines:
        lot = received(line)
        if lot is None:  # the faults were looked for under the same lock
            raise NotBookable([], delivery=name_of(draft))
        if goes_on_pallet(line):
            if line.sscc not in places:
                places[line.sscc] = _pallet(draft, line.sscc, lot.location, request_id)
            lot = replace(lot, location=places[line.sscc])
        lots.append(lot)
    return lots


def _pallet(draft: Delivery, sscc: str, stands_in: Location, request_id: UUID) -> Location:
    there = LogisticUnit.objects.select_related("location").filter(sscc=sscc).first()
    if there is None:
        there = enter_pallet(stands_in=stands_in, made_at=draft.arrived_at, request_id=request_id, sscc=sscc)
    return there.location


def _tie(draft: Delivery, event: Event) -> None:
    """Each line names the lot that it has made."""
    made = Lot.objects.filter(made_by=event, code=OuterRef("lot_code"))
    draft.lines.update(lot=Subquery(made.values("pk")[:1]))
