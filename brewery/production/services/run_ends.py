"""Ends of packaging runs: nothing hangs in process; and fills undone, the last one first."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime
from uuid import UUID, uuid5

from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import PackagingRun, RunFinish
from brewery.production.queries.packaging_fills import fills_of
from brewery.production.services.refusals import NothingFilled
from brewery.production.services.work import finished_by, lock_work, refuse_finished
from inventory.models import Event, Location
from inventory.queries.contents import lots_in
from inventory.services.posting import recording
from inventory.services.refusals import ReasonMissing
from inventory.services.registers import boundary
from inventory.services.reversals import reverse_event
from inventory.services.silos import refuse_cross_contact
from inventory.services.stock import Part, refuse_other_places


@once("finish_run", returns=Event)
def finish_run(
    *,
    run: PackagingRun,
    returns: Sequence[Part],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    loss_reason: str = "",
) -> Event:
    """The run is over: what is left of the drawn materials is back in stock as `returns` says, the rest is lost.

    Each part names the store it goes to. Raises AlreadyPackaged, ReasonMissing where something is lost, WrongPlace,
    CrossContact, and the refusals of the ledger.
    """
    refuse_finished(run)
    for part in returns:
        refuse_other_places(part.location, Location.STOCK, "store, silo or brink")
        refuse_cross_contact(part.location, part.lot.material)
    _refuse_before_its_fills(run, happened_at)
    back: dict[int, int] = defaultdict(int)
    for part in returns:
        back[part.lot.pk] += part.quantity_micro
    lying = lots_in(run.location)
    lost = [(lot, held - back[lot.pk]) for lot, held in lying if held > back[lot.pk]]
    if lost and not loss_reason.strip():
        raise ReasonMissing(what="What a run loses", field="loss_reason")
    with recording(
        Event.Kind.FINISH_RUN,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        reference=run.code,
        reason=loss_reason.strip(),
        uses=[*(lot for lot, _ in lying), *(part.lot for part in returns)],
    ) as record:
        for part in returns:
            record.post(record.lot(part.lot), from_=run.location, to=part.location, quantity_micro=part.quantity_micro)
        for lot, quantity in lost:
            record.post(record.lot(lot), from_=run.location, to=boundary(Location.Kind.LOSS), quantity_micro=quantity)
    RunFinish.objects.create(event=record.event, run=run)
    return record.event


@once("undo_fill", returns=Event)
def undo_fill(*, run: PackagingRun, reason: str, actor: User, request_id: UUID) -> Event:
    """The last fill is undone: its beer is in the tanks again, its materials in the run, which is under way.

    A run that was finished since is under way again too, and what it gave back lies in it: both or neither. Raises
    NothingFilled, ReasonMissing, OutputInUse, and the refusals of the ledger.
    """
    lock_work(run)
    last = fills_of(run).last()
    if last is None:
        raise NothingFilled(run=run.code, field="run")
    end = finished_by(run)
    for event in [end, last.event] if end and end != last.event else [last.event]:
        reversal = reverse_event(
            event=event, reason=reason, actor=actor, request_id=uuid5(request_id, f"undo {event.pk}")
        )
    return reversal


def _refuse_before_its_fills(run: PackagingRun, happened_at: datetime) -> None:
    last = fills_of(run).last()
    if last and happened_at < last.event.happened_at:
        raise InvalidInput(
            field="happened_at", value=happened_at.isoformat(), problem="A run ends after its last fill, not before it."
        )
