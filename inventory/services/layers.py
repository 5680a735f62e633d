"""Layers of a silo: what lies lowest leaves first, and what met another lot on the way out says so."""

from collections.abc import Sequence

from inventory.models import Contact, Event, Link, Location, Lot, Posting
from inventory.queries.layers import FROM_BELOW, Flow, Told, flows_at, told_by
from inventory.services.refusals import LiesBeneath, MetAlready


def contacts_of(event: Event, postings: Sequence[Posting]) -> list[Contact]:
    """Return what met what in the layered silos that the event takes from; the caller writes them.

    Raises LiesBeneath where something else must leave the silo first, and MetAlready where an event told late would
    change what later ones met, since a lot that was made is never made otherwise.
    """
    if event.kind == Event.Kind.REVERSE:
        return []
    silos = {
        place.pk: place
        for posting in postings
        for place in (posting.from_location, posting.to_location)
        if place.filling == Location.Filling.LAYERED
    }
    contacts: list[Contact] = []
    for key, flows in flows_at(silos.values()).items():
        contacts += _contacts_at(silos[key], flows, event, postings)
    return contacts


def residue_links(event: Event, links: Sequence[Link], contacts: Sequence[Contact]) -> list[Link]:
    """Return the links for what an event makes of something straight out of a layered silo."""
    wanted = {
        (contact.neighbour_id, link.child_id)
        for contact in contacts
        for link in links
        if link.parent_id == contact.lot_id and link.kind == Link.Kind.INGREDIENT
    }
    there = {(link.parent_id, link.child_id) for link in links if link.kind == Link.Kind.CARRYOVER}
    return [
        Link(event=event, parent_id=parent, child_id=child, kind=Link.Kind.CARRYOVER, quantity_micro=0)
        for parent, child in sorted(wanted - there)
        if parent != child
    ]


def _contacts_at(silo: Location, flows: list[Flow], event: Event, postings: Sequence[Posting]) -> list[Contact]:
    now = list(_told_now(silo, event, postings))
    late = any(flow.happened_at > event.happened_at for flow in flows)
    flows = sorted([*flows, *now], key=lambda flow: (flow.happened_at, flow.event)) if late else [*flows, *now]
    told = told_by(flows, silo.band_micro or 0)
    if event.kind in FROM_BELOW and told.beneath.get(event.pk):
        _refuse_what_lies_above(silo, told.beneath[event.pk])
    if late:
        _refuse_changing_what_met(silo, event, flows, told)
    return [
        Contact(event=event, lot_id=lot, neighbour_id=neighbour, to_location=posting.to_location)
        for lot, neighbour in sorted(told.met.get(event.pk, ()))
        for posting in postings
        if event.kind in FROM_BELOW and posting.lot_id == lot and posting.from_location_id == silo.pk
    ]


def _told_now(silo: Location, event: Event, postings: Sequence[Posting]) -> list[Flow]:
    return [
        Flow(event.pk, event.happened_at, event.kind, posting.lot_id, sign * posting.quantity_micro)
        for posting in postings
        for place, sign in ((posting.from_location_id, -1), (posting.to_location_id, 1))
        if place == silo.pk
    ]


def _refuse_what_lies_above(silo: Location, pairs: Sequence[tuple[int, int]]) -> None:
    lot, under = pairs[0]
    codes = dict(Lot.objects.filter(pk__in=(lot, under)).values_list("pk", "code"))
    raise LiesBeneath(location=silo, lot=codes[lot], beneath=codes[under], field="lot")


def _refuse_changing_what_met(silo: Location, event: Event, flows: Sequence[Flow], told: Told) -> None:
    """Raise MetAlready where a later event met something that is not on record for it."""
    later = {
        flow.event for flow in flows if flow.event != event.pk and flow.happened_at >= event.happened_at
    } & told.met.keys()
    used = {flow.event for flow in flows if flow.kind in FROM_BELOW and flow.quantity_micro < 0}
    rows = Contact.objects.filter(event__in=later).values_list("event", "lot", "neighbour")
    known = {(row, (lot, neighbour)) for row, lot, neighbour in rows}
    for key in sorted(later & used):
        for pair in sorted(told.met[key]):
            if (key, pair) not in known:
                codes = dict(Lot.objects.filter(pk__in=pair).values_list("pk", "code"))
                raise MetAlready(location=silo, lot=codes[pair[0]], neighbour=codes[pair[1]], field="happened_at")
