"""Filling a vessel: not one that is out of service, and one that was not cleaned only with a reason on record.

What goes into an uncleaned vessel is a lot that was made going in, so that it alone carries the residue: the lot that
lay there last is linked to it as carryover of a quantity that nobody could weigh.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime

from brewery.kernel.clock import on_the_wall
from inventory.models import Event, Link, Location, Lot, Posting, UncleanFill
from inventory.queries.vessels import State, VesselState, state_of, states_at
from inventory.services.refusals import UncleanContentsCodeMissing, VesselNotClean, VesselOutOfService


def residue_for(lot: Lot | None, vessel: Location, happened_at: datetime) -> Lot | None:
    """Return the lot whose residue `lot` would meet in the vessel at that moment, or None where there is none.

    A lot meets no residue of its own. With no lot, whatever lay there last counts.
    """
    if not vessel.must_be_cleaned:
        return None
    residue = state_of(vessel, happened_at).residue
    return None if residue is None or residue == lot else residue


def unclean_fills(event: Event, postings: Sequence[Posting], made: Sequence[Lot], reason: str) -> list[UncleanFill]:
    """Return what the event fills uncleaned, for the caller to write. Locks the vessels that it fills from empty.

    Raises VesselOutOfService; VesselNotClean without a reason; UncleanContentsCodeMissing where what goes in was there
    before, or goes elsewhere too. A count only finds what is there, and a reversal puts back what was.
    """
    if event.kind in (Event.Kind.REVERSE, Event.Kind.COUNT):
        return []
    filled = _filled_from_empty(postings)
    if not filled:
        return []
    keys = sorted(filled)
    vessels = list(Location.objects.filter(pk__in=keys).order_by("pk").select_for_update(no_key=True))
    states = states_at(vessels, event.happened_at)
    fills = [_unclean_fill(event, states[key], filled[key], postings, made, reason) for key in keys]
    return [fill for fill in fills if fill]


def carryover_of(fills: Iterable[UncleanFill], postings: Sequence[Posting], links: Sequence[Link]) -> list[Link]:
    """Return the links from what lay in the vessels last to what the event filled them with."""
    there = {(link.parent_id, link.child_id) for link in links if link.kind == Link.Kind.CARRYOVER}
    new = {
        (fill.before_id, posting.lot_id): fill.event
        for fill in fills
        for posting in postings
        if posting.to_location_id == fill.vessel_id
    }
    return [
        Link(event=event, parent_id=before, child_id=lot, kind=Link.Kind.CARRYOVER, quantity_micro=0)
        for (before, lot), event in new.items()
        if (before, lot) not in there
    ]


def _filled_from_empty(postings: Sequence[Posting]) -> dict[int, Posting]:
    """Return by vessel what comes in; where something leaves it too, it was in use."""
    left = {posting.from_location_id for posting in postings}
    return {
        posting.to_location_id: posting
        for posting in postings
        if posting.to_location.kind in Location.VESSELS and posting.to_location_id not in left
    }


def _unclean_fill(
    event: Event, state: VesselState, comes: Posting, postings: Sequence[Posting], made: Sequence[Lot], reason: str
) -> UncleanFill | None:
    if state.state == State.OUT_OF_SERVICE and state.mark:
        raise VesselOutOfService(
            location=state.vessel,
            moment=on_the_wall(state.mark.happened_at),
            reason=state.mark.reason.rstrip("."),
            field="location",
        )
    before = state.residue
    if before is None or before.pk == comes.lot_id:
        return None
    if not reason:
        raise VesselNotClean(location=state.vessel, before=before.code, field="unclean_reason")
    elsewhere = [
        posting
        for posting in postings
        if posting.lot_id == comes.lot_id
        and posting.to_location.is_inside
        and posting.to_location_id != comes.to_location_id
    ]
    if comes.lot not in made or elsewhere:
        raise UncleanContentsCodeMissing(
            location=state.vessel, before=before.code, lot=comes.lot.code, field="contents_code"
        )
    return UncleanFill(event=event, vessel=state.vessel, before=before, reason=reason)
