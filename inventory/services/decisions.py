"""Decisions on lots: release, hold, reject; of one lot, or of many at once."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day, now
from brewery.kernel.database.sets import portions
from brewery.kernel.errors import DomainError, InvalidInput, NotAllowed, SeveralFaults
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Decision, Lot, Material
from inventory.models.dispositions import Disposition
from inventory.queries.judgements import judgements_of
from inventory.services.alert_bells import Bell, ring_for_alerts
from inventory.services.checks import refuse_the_future
from inventory.services.claims import contradictions_of, refuse_contradicted
from inventory.services.holds import kept_back
from inventory.services.posting import lock_lots
from inventory.services.refusals import MadeByMistake, ReasonMissing
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


class ResultsStandAgainst(DomainError):
    code = "results_stand_against"
    title = "The results do not allow the release."
    template = "Lot {lot} cannot be released: {faults}."
    advice = "Enter the results as a certificate of the lot, or have it overridden with a reason."


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
    *,
    lot: Lot,
    disposition: str,
    reason: str,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    override_reason: str = "",
) -> Decision:
    """The lot may be used as `disposition` says from now on. Takes the same lock as a draw, so no draw slips past it.

    Raises InvalidInput for what is no disposition, ReasonMissing, InTheFuture, LotUnderHold; for a release
    ClaimsContradicted, and of packaged beer ResultsStandAgainst without an override.
    """
    _refuse(disposition, reason, happened_at)
    _refuse_override(actor, override_reason)
    locked = lock_lots([lot])[lot.pk]
    for kept in kept_back([locked], disposition):
        raise kept
    if disposition == Disposition.RELEASED:
        refuse_contradicted([locked])
        for fault in [] if override_reason else results_against([locked]):
            raise fault
    return note_decision(locked, disposition, _told(reason, override_reason), happened_at, actor, request_id)


@once("decide_on_lots", returns=Decision)
def decide_on_lots(
    *,
    lots: Sequence[SeenLot],
    disposition: str,
    reason: str,
    actor: User,
    request_id: UUID,
    happened_at: datetime | None = None,
    override_reason: str = "",
) -> Decision:
    """All the lots may be used as `disposition` says from now on, or none is changed.

    Without `happened_at` it was decided now. Returns the decision on the first; those on all are the request's. Raises
    NotDecided with a fault for each lot that stands against it, NothingToDo, and what `decide_on_lot` raises.
    """
    refuse_no_lines(lots, "The decision")
    decided_at = happened_at or now()
    _refuse(disposition, reason, decided_at)
    _refuse_override(actor, override_reason)
    locked = lock_lots([one.lot for one in lots])
    faults = [*_faults(lots, locked), *_in_their_rows(lots, kept_back(locked.values(), disposition))]
    if disposition == Disposition.RELEASED:
        faults += _contradictions(lots, locked)
        faults += [] if override_reason else _in_their_rows(lots, results_against(locked.values()))
    if faults:
        raise NotDecided(faults)
    told = _told(reason, override_reason)
    made = [note_decision(locked[one.lot.pk], disposition, told, decided_at, actor, request_id) for one in lots]
    return made[0]


def note_decision(
    locked: Lot, disposition: str, reason: str, happened_at: datetime, actor: User, request_id: UUID
) -> Decision:
    """Write the decision on a lot that the caller has locked, and change what may be done with it."""
    (decision,) = note_decisions([locked], disposition, reason, happened_at, actor, request_id)
    return decision


def note_decisions(
    locked: Collection[Lot], disposition: str, reason: str, happened_at: datetime, actor: User, request_id: UUID
) -> list[Decision]:
    """As `note_decision`, the same for all of the lots."""
    made = [
        Decision(
            lot=lot,
            before=lot.disposition,
            after=disposition,
            happened_at=happened_at,
            recorded_at=now(),
            actor=actor,
            request_id=request_id,
            reason=reason,
        )
        for lot in locked
    ]
    for portion in portions(made):
        Decision.objects.bulk_create(portion)
        Lot.objects.filter(pk__in=[one.lot_id for one in portion]).update(disposition=disposition)
    if made:
        ring_for_alerts(Bell.DISPOSITION)
    return made


def _refuse(disposition: str, reason: str, happened_at: datetime) -> None:
    if disposition not in Disposition.values:
        choices = ", ".join(Disposition.values)
        raise InvalidInput(field="decision", value=disposition, problem=f"Choose one of: {choices}.")
    if not reason:
        raise ReasonMissing(what="A decision on a lot", field="reason")
    refuse_the_future(happened_at)


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
    return _in_their_rows(lots, contradictions_of(locked.values()))


def _in_their_rows(lots: Sequence[SeenLot], faults: Iterable[DomainError]) -> Iterator[DomainError]:
    places = {one.lot.code: f"lots[{index}].lot" for index, one in enumerate(lots)}
    for fault in faults:
        fault.field = places[fault.facts["lot"]]
        yield fault


def results_against(lots: Iterable[Lot]) -> list[DomainError]:
    """Return, for each lot of packaged beer, what of its required results is missing or outside of its limits."""
    packaged = [lot for lot in lots if lot.material.kind == Material.Kind.PACKAGED]
    judged = judgements_of(packaged, brewery_day())
    against = ((lot, "; ".join(fault.sentence for fault in judged[lot.pk].faults)) for lot in packaged)
    return [ResultsStandAgainst(lot=lot.code, faults=faults, field="lot") for lot, faults in against if faults]


def _refuse_override(actor: User, override_reason: str) -> None:
    if override_reason and not actor.has_right(Right.OVERRIDE):
        raise NotAllowed(person=actor, right=Right.OVERRIDE, field="override_reason")


def _told(reason: str, override_reason: str) -> str:
    return f"{reason} (overridden: {override_reason})" if override_reason else reason
