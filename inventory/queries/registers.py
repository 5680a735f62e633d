"""Finding what a code names."""

from inventory.models import Event, Location, Lot, Material, Party, PurchaseOrder


def material_of(code: str) -> Material | None:
    """Return the material of that code."""
    return Material.objects.filter(code=code).first()


def party_of(code: str) -> Party | None:
    """Return the party of that code."""
    return Party.objects.filter(code=code).first()


def place_of(code: str) -> Location | None:
    """Return the location of that code."""
    return Location.objects.filter(code=code).first()


def lot_of(code: str) -> Lot | None:
    """Return the lot of that code, with its material; one made by mistake bears it no longer."""
    return Lot.objects.filter(code=code, reversed_by=None).select_related("material").first()


def lot_ever_of(code: str) -> Lot | None:
    """Return the lot that bears the code, or where none does the last one that did."""
    bearers = Lot.objects.filter(code=code).select_related("material")
    return bearers.filter(reversed_by=None).first() or bearers.order_by("-pk").first()


def event_of(number: int) -> Event | None:
    """Return the event of that number."""
    return Event.objects.filter(pk=number).first()


def order_of(number: str) -> PurchaseOrder | None:
    """Return the purchase order of that number."""
    return PurchaseOrder.objects.filter(number=number).first()
