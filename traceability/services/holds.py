"""Holds: a lot and everything downstream of it cannot be used or shipped until it is released again.

A lot under a hold is on hold (or rejected), so every rule about such lots holds for it; the hold remembers what it goes
back to. Placing one locks every lot of the family, as a draw does, so no draw slips past it and no child either: who
makes a lot has its parents locked.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from uuid import UUID

from brewery.kernel.clock import brewery_day, now
from brewery.kernel.database.sets import AT_ONCE, portions
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Event, Link, Lot
from inventory.models.dispositions import Disposition
from inventory.queries.judgements import judgements_of
from inventory.services.decisions import note_decisions
from inventory.services.holds import HELD_BACK, named_by, passed_on_by
from inventory.services.posting import locked_rows
from inventory.services.refusals import MadeByMistake, ReasonMissing
from inventory.services.stock import refuse_no_lines
from traceability.models import HeldLot, Hold, HoldRelease
from traceability.models.follows import following
from traceability.queries.asking import NAMES
from traceability.queries.families import ids_of, lots_by_id, touched_by
from traceability.queries.graph import Direction, reached_now
from traceability.queries.holds import dispositions_without, holds_on


class NotUnderHold(DomainError):
    code = "not_under_hold"
    title = "The lot is not under this hold."
    template = "Lot {lot} is not under {hold}, or was released from it already."
    advice = "Look at the hold as it is now."


class HoldOver(DomainError):
    code = "hold_over"
    title = "The hold is over."
    template = "All lots were released from {hold} already."
    advice = "Place another if they are to be held again."


@once("place_hold", returns=Hold)
def place_hold(
    *, lots: Sequence[Lot], follow: Sequence[str], reason: str, actor: User, request_id: UUID, reference: str = ""
) -> Hold:
    """The lots, all that comes of them over links of the kinds `follow`, and all that ever will, are held.

    Each stays so until it is released from this hold and from every other. Raises NothingToDo, ReasonMissing,
    InvalidInput for what is no kind of link, MadeByMistake.
    """
    refuse_no_lines(lots, "The hold")
    if not reason:
        raise ReasonMissing(what="A hold", field="reason")
    return write_hold(
        lots=lots, kinds=kinds_named(follow), reason=reason, reference=reference, actor=actor, request_id=request_id
    )


def write_hold(
    *,
    lots: Sequence[Lot],
    kinds: Collection[Link.Kind],
    reason: str,
    actor: User,
    request_id: UUID,
    reference: str = "",
) -> Hold:
    """As `place_hold`, within the caller's transaction and request."""
    starts = {lot.pk for lot in lots}
    locked = _locked_family(starts, kinds)
    for lot in locked.values():
        if lot.reversed_by_id:
            raise MadeByMistake(lot=lot.code, field="lots")
    hold = Hold.objects.create(
        reason=reason,
        reference=reference,
        placed_at=now(),
        actor=actor,
        request_id=request_id,
        **following(kinds),
    )
    without = dispositions_without(locked.values())
    rows = [
        HeldLot(
            hold=hold,
            lot=lot,
            is_start=key in starts,
            returns_to=without[key],
            held_at=hold.placed_at,
            request_id=request_id,
        )
        for key, lot in sorted(locked.items())
    ]
    HeldLot.objects.bulk_create(rows, batch_size=AT_ONCE)
    _hold_back(locked.values(), _told(hold), actor, request_id)
    return hold


@once("release_hold", returns=HoldRelease)
def release_hold(
    *, hold: Hold, reason: str, actor: User, request_id: UUID, lots: Sequence[Lot] | None = None
) -> HoldRelease:
    """These lots, or all where none are named, are under this hold no more.

    A lot that is under no other goes back to what it was before, or to what somebody decided since; one that was
    released goes to quarantine where a result outside its limits came in meanwhile. Raises ReasonMissing, NothingToDo,
    NotUnderHold, HoldOver.
    """
    if not reason:
        raise ReasonMissing(what="A release from a hold", field="reason")
    if lots is not None:
        refuse_no_lines(lots, "The release")
    standing = HeldLot.objects.standing().filter(hold=hold)
    keys = {lot.pk for lot in lots} if lots is not None else set(standing.values_list("lot", flat=True))
    locked = locked_rows(keys)
    held = {row.lot_id: row for row in standing if row.lot_id in locked}
    if not held and lots is None:
        raise HoldOver(hold=hold, field="hold")
    for key, lot in locked.items():
        if key not in held:
            raise NotUnderHold(lot=lot.code, hold=hold, field="lots")
    release = HoldRelease.objects.create(
        hold=hold, reason=reason, released_at=now(), actor=actor, request_id=request_id
    )
    without = dispositions_without(locked.values())
    for portion in portions([row.pk for row in held.values()]):
        HeldLot.objects.filter(pk__in=portion).update(released_by=release)
    _give_back(locked, without, f"Released from {hold}: {reason}", actor, request_id)
    return release


@passed_on_by
def hold_children(event: Event, links: Sequence[Link]) -> None:
    """What an event made of lots under a hold is under it too, over the kinds of link that the hold follows."""
    under = holds_on({link.parent_id for link in links})
    new: dict[tuple[int, int], HeldLot] = {}
    children = lots_by_id({link.child_id for link in links}) if under else {}
    for link in sorted(links, key=lambda link: (link.parent_id, link.child_id)):
        for held in under.get(link.parent_id, []):
            key = (held.hold_id, link.child_id)
            if link.kind in held.hold.kinds and key not in new:
                new[key] = _inherited(held, children[link.child_id], event)
                under.setdefault(link.child_id, []).append(new[key])
    HeldLot.objects.bulk_create(new.values(), batch_size=AT_ONCE)
    for hold in {held.hold for held in new.values()}:
        lots = [children[child] for number, child in new if number == hold.pk]
        _hold_back(lots, f"Made of what is held: {_told(hold)}", event.actor, event.request_id)


@named_by
def names_of_holds(lots: Collection[Lot]) -> Mapping[int, str]:
    """Return, by lot, the holds that it is under, in words."""
    under = holds_on(lot.pk for lot in lots)
    return {key: " and ".join(str(held.hold) for held in rows) for key, rows in under.items()}


def kinds_named(follow: Sequence[str]) -> frozenset[Link.Kind]:
    """Return the kinds of link of these names. Raises InvalidInput for none, or for what is none."""
    for name in follow or [""]:
        if name not in NAMES:
            raise InvalidInput(field="follow", value=name, problem=f"Name kinds of link: {', '.join(NAMES)}.")
    return frozenset(NAMES[name] for name in follow)


def _locked_family(starts: Collection[int], kinds: Collection[Link.Kind]) -> dict[int, Lot]:
    """Return all lots of the family, locked; what was made while the locks were waited for is among them."""
    locked: dict[int, Lot] = {}
    while True:
        found = ids_of(starts, reached_now(starts, Direction.FORWARD, kinds))
        if not (new := (found | touched_by(found, kinds)) - locked.keys()):
            return locked
        locked.update(locked_rows(new))


def _inherited(held: HeldLot, child: Lot, event: Event) -> HeldLot:
    """Return the child's row; one that was made on hold only because its parent is goes back to what that does."""
    copied = child.disposition == Disposition.ON_HOLD
    return HeldLot(
        hold=held.hold,
        lot=child,
        is_start=False,
        returns_to=held.returns_to if copied else child.disposition,
        event=event,
        held_at=event.recorded_at,
        request_id=event.request_id,
    )


def _hold_back(lots: Iterable[Lot], reason: str, actor: User, request_id: UUID) -> None:
    """Each lot that is not held back is on hold; the rows given know it from now on."""
    free = [lot for lot in lots if lot.disposition not in HELD_BACK]
    note_decisions(free, Disposition.ON_HOLD, reason, now(), actor, request_id)
    for lot in free:
        lot.disposition = Disposition.ON_HOLD


def _give_back(
    locked: Mapping[int, Lot], without: Mapping[int, str], reason: str, actor: User, request_id: UUID
) -> None:
    """Each of the lots that is under no hold any more may be used as far as `without` says and its results allow."""
    under = holds_on(locked)
    free = [lot for key, lot in locked.items() if key not in under and lot.disposition != without[key]]
    to_release = [lot for lot in free if without[lot.pk] == Disposition.RELEASED]
    judged = judgements_of(to_release, brewery_day())
    doubted = {key for key, judgement in judged.items() if any(fault.value for fault in judgement.faults)}
    for disposition in Disposition:
        lots = [
            lot for lot in free if disposition == (Disposition.QUARANTINED if lot.pk in doubted else without[lot.pk])
        ]
        note_decisions(lots, disposition, reason, now(), actor, request_id)


def _told(hold: Hold) -> str:
    reference = f" ({hold.reference})" if hold.reference else ""
    return f"{str(hold).capitalize()}{reference}: {hold.reason}"
