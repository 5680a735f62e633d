"""Lots with all that an answer shows of them."""

from collections.abc import Iterable

from django.db.models import Prefetch, QuerySet

from brewery.kernel.database.sets import portions
from inventory.models import Balance, Decision, Lot, Material


def lots_with_places() -> QuerySet[Lot]:
    """Return the lots that were not made by mistake, each with its material, its supplier and where it lies."""
    lying = Balance.objects.held().select_related("location").order_by("location__code")
    lots = Lot.objects.filter(reversed_by=None).select_related("material", "supplier")
    return lots.prefetch_related(Prefetch("balances", lying))


def lots_with_decisions() -> QuerySet[Lot]:
    """Return the lots as above, each with every decision on it."""
    decisions = Decision.objects.select_related("actor", "lot")
    return lots_with_places().prefetch_related(Prefetch("decisions", decisions))


def lots_of_label(material: Material, batch: str) -> QuerySet[Lot]:
    """Return our lots of what a supplier's label calls that batch of the material, the newest first."""
    return Lot.objects.filter(reversed_by=None, material=material, supplier_lot=batch).order_by("-pk")


def lots_by_code(codes: Iterable[str]) -> dict[str, Lot]:
    """Return those of the lots that there are, by code, each with its material."""
    found: dict[str, Lot] = {}
    for portion in portions(dict.fromkeys(codes)):
        part = Lot.objects.filter(code__in=portion, reversed_by=None)
        found |= {lot.code: lot for lot in part.select_related("material")}
    return found
