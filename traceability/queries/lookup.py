"""Finding the lot that somebody means."""

from brewery.kernel.errors import NotFound
from inventory.models import Lot


def lot_by_code(code: str) -> Lot:
    """Return the lot that bears the code; one made by mistake only where none else bears it. Raises NotFound."""
    lots = Lot.objects.filter(code=code).select_related("material", "supplier", "made_by")
    lot = lots.filter(reversed_by=None).first() or lots.order_by("-pk").first()
    if lot is None:
        raise NotFound(thing="lot", code=code, field="lot")
    return lot
