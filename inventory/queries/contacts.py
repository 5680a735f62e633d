"""What lots may hold of others that they met in a layered silo."""

from collections.abc import Collection, Iterable

from brewery.kernel.database.sets import portions
from inventory.models import Balance, Contact, Event, Location, Lot, Posting


def residues_at(places: Collection[tuple[int, int]]) -> dict[int, set[Lot]]:
    """Return by lot what it may hold of others at these places, pairs of the ids of a lot and a location."""
    rows = Contact.objects.filter(lot__in={lot for lot, _ in places}, event__reversed_by=None)
    contacts = list(rows.select_related("neighbour", "to_location"))
    elsewhere = [row for row in contacts if row.to_location.kind == Location.Kind.PROCESS]
    brought_back = _brought_back(row for row in elsewhere if (row.lot_id, row.to_location_id) not in places)
    found: dict[int, set[Lot]] = {}
    for row in contacts:
        way = (row.lot_id, row.to_location_id)
        if row.to_location.kind != Location.Kind.PROCESS or way in places or way in brought_back:
            found.setdefault(row.lot_id, set()).add(row.neighbour)
    return found


def met_by(lots: Collection[int]) -> set[int]:
    """Return the ids of the lots that lie somewhere and may hold some of these, having met them in a layered silo.

    What was made of such a lot since is linked to what the lot met; what was made of it before holds nothing of that.
    """
    touched: set[int] = set()
    for portion in portions(lots):
        rows = Contact.objects.filter(neighbour__in=portion, event__reversed_by=None)
        touched.update(rows.values_list("lot", flat=True))
    touched.difference_update(lots)
    if not touched:
        return set()
    lying = Balance.objects.held().filter(
        lot__in=touched, location__kind__in=(*Location.INSIDE, Location.Kind.CUSTOMER)
    )
    residues = residues_at(set(lying.values_list("lot", "location")))
    return {lot for lot, met in residues.items() if any(one.pk in lots for one in met)}


def _brought_back(contacts: Iterable[Contact]) -> set[tuple[int, int]]:
    """Return the lots, and the brews out of which some of them was brought back to stock."""
    ways = {(contact.lot_id, contact.to_location_id) for contact in contacts}
    if not ways:
        return set()
    rows = Posting.objects.filter(event__kind=Event.Kind.RETURN_TO_STOCK, event__reversed_by=None)
    rows = rows.filter(lot__in={lot for lot, _ in ways}, from_location__in={place for _, place in ways})
    return ways & set(rows.values_list("lot", "from_location"))
