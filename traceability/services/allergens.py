"""Allergens of lots, told for papers: found in all that a lot is made of."""

from collections.abc import Mapping, Sequence

from inventory.models import Lot
from inventory.services.allergens import Declared, told_by
from traceability.queries.allergens import profiles_of


@told_by
def declared_of_makeup(lots: Sequence[Lot]) -> Mapping[int, Declared]:
    """Return what the record says of each lot and all that it is made of."""
    return {
        key: Declared(tuple(profile.named_in_eu), tuple(material.name for material in profile.silent))
        for key, profile in profiles_of(lots).items()
    }
