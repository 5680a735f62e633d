"""What lies in a place now."""

from inventory.models import Balance, Location, Lot


def contents_of(vessel: Location) -> Lot | None:
    """Return the lot that a vessel holds now, or None where it is empty."""
    balance = (
        Balance.objects.filter(location=vessel, quantity_micro__gt=0).select_related("lot__material").order_by("lot")
    ).first()
    return balance.lot if balance else None


def held_now(lot: Lot, place: Location) -> int:
    """Return the micro-units of the lot that lie in a place."""
    found = Balance.objects.filter(lot=lot, location=place).values_list("quantity_micro", flat=True).first()
    return found or 0


def lots_in(place: Location) -> list[tuple[Lot, int]]:
    """Return the lots that lie in a place with their quantities in micro-units, the oldest first."""
    rows = Balance.objects.filter(location=place, quantity_micro__gt=0).select_related("lot__material")
    return [(row.lot, row.quantity_micro) for row in rows.order_by("lot")]
