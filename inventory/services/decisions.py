"""Decisions on lots: release, hold, reject; of one lot, or of many at once."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.errors import DomainError, InvalidInput, SeveralFaults
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Decision, Lot
from inventory.models.dispositions import Disposition
from inventory.services.claims import contradictions_of, refuse_contradicted
from inventory.services.posting import lock_lots
from inventory.services.refusals import InTheFuture, MadeByMistake, ReasonMissing
from inventory.services.stock import refuse_no_lines


class DecidedMeanwhile(DomainError):
    code = "decided_meanwhile"
    title = "Somebody decided on the lot meanwhile."
    template = "Lot {lot} was {seen} when you looked and is {disposition} now."
    advice = "Look at it again, and decide again if need be."


class LotTwice(DomainError):
    code = "lot_twice"
    status = 400
    title = "A lot is named twice."
    template = "Lot {lot} is named twice."
    advice = "Name it once."


class NotDecided(SeveralFaults):
    code = "not_decided"
    title = "Nothing was decided."
    template = "Nothing was decided: {count} of the lots stand against it."


@dataclass(frozen=True)
class SeenLot:
    """A lot to be decided on, and what it was when somebody looked; without that it is not compared."""

    lot: Lot
    seen: str = ""


@once("decide_on_lot", returns=Decision)
def decide_on_lot(
    *, lot: Lot, disposition: str, reason: str, happened_at: datetime, actor: User, request_id: UUID
) -> Decision:
    """The lot may be used as `disposition` says from now on. Takes the same lock as a draw, so no draw slips past it.

    Raises InvalidInput for what is no disposition, ReasonMissing, InTheFuture, ClaimsContradicted for a release.
    """
    _refuse(disposition, reason, happened_at)
    locked = lock_lots([lot])[lot.pk]
    if disposition == Disposition.RELEASED:
        refuse_contradicted([locked])
    return note_decision(locked, disposition, reason, happened_at, actor, request_id)


@once("decide_on_lots", returns=Decision)
def decide_on_lots(
    *,
    lots: Sequence[SeenLot],
    disposition: str,
    reason: str,
    actor: User,
    request_id: UUID,
    happened_at: datetime | None = None,
) -> Decision:
    """All the lots may be used as `disposition` says from now on, or none is changed.

    Without `happened_at` it was decided now. Returns the decision on the first; those on all are the request's. Raises
    NotDecided with a fault for each lot that stands against it, NothingToDo, and what `decide_on_lot` raises.
    """
    refuse_no_lines(lots, "The decision")
    decided_at = happened_at or now()
    _refuse(disposition, reason, decided_at)
    locked = lock_lots([one.lot for one in lots])
    faults = list(_faults(lots, locked))
    if disposition == Disposition.RELEASED:
        faults += _contradictions(lots, locked)
    if faults:
        raise NotDecided(faults)
    made = [note_decision(locked[one.lot.pk], disposition, reason, decided_at, actor, request_id) for one in lots]
    return made[0]


def note_decision(
    locked: Lot, disposition: str, reason: str, happened_at: datetime, actor: User, request_id: UUID
) -> Decision:
    """Write the decision on a lot that the caller has locked, and change what may be done with it."""
    decision = Decision.objects.create(
        lot=locked,
        before=locked.disposition,
        after=disposition,
        happened_at=happened_at,
        recorded_at=now(),
        actor=actor,
        request_id=request_id,
        reason=reason,
    )
    Lot.objects.filter(pk=locked.pk).update(disposition=disposition)
    return decision


def _refuse(disposition: str, reason: str, happened_at: datetime) -> None:
    if disposition not in Disposition.values:
        choices = ", ".join(Disposition.values)
        raise InvalidInput(field="decision", value=disposition, problem=f"Choose one of: {choices}.")
    if not reason:
        raise ReasonMissing(what="A decision on a lot", field="reason")
    if happened_at > now():
        raise InTheFuture(moment=on_the_wall(happened_at), field="happened_at")


def _faults(lots: Sequence[SeenLot], locked: dict[int, Lot]) -> Iterator[DomainError]:
    named: set[int] = set()
    for index, one in enumerate(lots):
        lot, field = locked[one.lot.pk], f"lots[{index}].lot"
        if lot.pk in named:
            yield LotTwice(lot=lot.code, field=field)
        elif lot.reversed_by_id:
            yield MadeByMistake(lot=lot.code, field=field)
        elif one.seen not in ("", lot.disposition):
            seen = Disposition(one.seen).label
            yield DecidedMeanwhile(lot=lot.code, seen=seen, disposition=Disposition(lot.disposition).label, field=field)
        named.add(lot.pk)


def _contradictions(lots: Sequence[SeenLot], locked: dict[int, Lot]) -> Iterator[DomainError]:
    places = {one.lot.code: f"lots[{index}].lot" for index, one in enumerate(lots)}
    for fault in contradictions_of(locked.values()):
        fault.field = places[fault.facts["lot"]]
        yield fault
