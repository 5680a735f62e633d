"""What was scanned at picking: a pallet or a lot, how many of it, and where it lies."""

from dataclasses import dataclass

from brewery.kernel.errors import InvalidInput
from brewery.production.queries.customer_orders import OrderProgress
from brewery.production.queries.picking import LEAVES_FROM, proposals_for
from brewery.science.units import MICRO
from inventory.models import Balance, Location, Lot
from inventory.queries.contents import lots_in
from inventory.services.scans import read_scan


@dataclass(frozen=True)
class Scanned:
    """A lot, the place it is taken from, and how many go unless somebody says otherwise."""

    lot: Lot
    location: Location
    count: int


def scanned_for(progress: OrderProgress, text: str, location: Location | None = None) -> Scanned:
    """Return what a scan or a typed code names: all of a pallet, or what is proposed of a lot.

    Raises UnreadableScan, or InvalidInput where it names no lot, or several.
    """
    scan = read_scan(text)
    if scan.location and scan.location.kind == Location.Kind.PALLET:
        return _on_pallet(scan.location)
    if scan.own_lot is None:
        raise InvalidInput(field="text", value=text, problem="Scan a pallet or a lot of ours.")
    return _of_lot(progress, scan.own_lot, location)


def _on_pallet(pallet: Location) -> Scanned:
    held = lots_in(pallet)
    if len(held) != 1:
        problem = "Several lots lie on it: scan each lot, and name the pallet as its place." if held else "It is empty."
        raise InvalidInput(field="text", value=pallet.code, problem=problem)
    lot, quantity_micro = held[0]
    return Scanned(lot, pallet, quantity_micro // MICRO)


def _of_lot(progress: OrderProgress, lot: Lot, location: Location | None) -> Scanned:
    ways = [way for proposal in proposals_for(progress) for way in proposal.lines if way.lot == lot]
    ways = [way for way in ways if location in (None, way.location)]
    if ways:
        return Scanned(lot, ways[0].location, ways[0].count)
    return Scanned(lot, location or _only_place(lot), 1)


def _only_place(lot: Lot) -> Location:
    rows = Balance.objects.held().filter(lot=lot, location__kind__in=LEAVES_FROM).select_related("location")
    places = [row.location for row in rows]
    if len(places) != 1:
        problem = "It lies in several places: name one." if places else "None of it lies in a store or on a pallet."
        raise InvalidInput(field="location", value=lot.code, problem=problem)
    return places[0]
