"""Finding the lot that somebody means."""

from collections.abc import Sequence

from brewery.kernel.errors import InvalidInput, NotFound
from inventory.models import Lot
from inventory.queries.lots import lots_by_code


def lot_by_code(code: str) -> Lot:
    """Return the lot that bears the code; one made by mistake only where none else bears it. Raises NotFound."""
    lots = Lot.objects.filter(code=code).select_related("material", "supplier", "made_by")
    lot = lots.filter(reversed_by=None).first() or lots.order_by("-pk").first()
    if lot is None:
        raise NotFound(thing="lot", code=code, field="lot")
    return lot


def lots_by_codes(codes: Sequence[str], field: str) -> list[Lot]:
    """Return the lots that bear the codes, in their order. Raises InvalidInput with field and code where none does."""
    found = lots_by_code(codes)
    for code in codes:
        if code not in found:
            raise InvalidInput(field=field, value=code, problem="There is no lot of this code: look it up.")
    return [found[code] for code in codes]
