"""Decisions on lots: release, hold, reject."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Decision, Lot
from inventory.models.dispositions import Disposition
from inventory.services.posting import lock_lots
from inventory.services.refusals import InTheFuture, ReasonMissing


@once("decide_on_lot", returns=Decision)
def decide_on_lot(
    *, lot: Lot, disposition: str, reason: str, happened_at: datetime, actor: User, request_id: UUID
) -> Decision:
    """The lot may be used as `disposition` says from now on. Takes the same lock as a draw, so no draw slips past it.

    Raises InvalidInput for what is no disposition, ReasonMissing, InTheFuture.
    """
    if disposition not in Disposition.values:
        choices = ", ".join(Disposition.values)
        raise InvalidInput(field="decision", value=disposition, problem=f"Choose one of: {choices}.")
    if not reason:
        raise ReasonMissing(what="A decision on a lot", field="reason")
    recorded_at = now()
    if happened_at > recorded_at:
        raise InTheFuture(moment=on_the_wall(happened_at), field="happened_at")
    locked = lock_lots([lot])[lot.pk]
    decision = Decision.objects.create(
        lot=locked,
        before=locked.disposition,
        after=disposition,
        happened_at=happened_at,
        recorded_at=recorded_at,
        actor=actor,
        request_id=request_id,
        reason=reason,
    )
    Lot.objects.filter(pk=lot.pk).update(disposition=disposition)
    return decision
