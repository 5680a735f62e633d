"""What was drawn for a brew, less what came back: in place of which material, and how much alpha it held."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from brewery.production.models import Brew, Substitution
from brewery.production.queries.brewhouse import movements_of
from inventory.models import Event, Location, Lot, Material, Posting
from inventory.queries.hop_alpha import AlphaToday, alphas_of


@dataclass(frozen=True)
class Drawn:
    """A quantity of a lot that was drawn and did not come back. `wanted` is what it was drawn as, by the sheet."""

    event: Event
    lot: Lot
    taken_from: Location
    quantity_micro: int
    wanted: Material
    reason: str = ""
    alpha: AlphaToday | None = None

    @property
    def is_substitute(self) -> bool:
        """Whether it stands in for another material."""
        return self.wanted.pk != self.lot.material_id


def drawn_for(brew: Brew) -> list[Drawn]:
    """Return what was drawn, the first first; what came back of a lot is taken off its last draws."""
    return drawn_by_brew([brew])[brew.pk]


def drawn_by_brew(brews: Sequence[Brew]) -> dict[int, list[Drawn]]:
    """Return what was drawn for each brew, by its key; the same statements however many brews."""
    rows = movements_of(brews).select_related("event__actor", "lot__material", "from_location", "to_location")
    swaps = Substitution.objects.filter(brew__in=brews).select_related("wanted")
    stands_in = {(row.event_id, row.lot_id): row for row in swaps}
    brew_at = {brew.location_id: brew.pk for brew in brews}
    found: dict[int, list[Drawn]] = {brew.pk: [] for brew in brews}
    for row in rows.order_by("event__happened_at", "pk"):
        if row.event.kind == Event.Kind.DRAW:
            found[brew_at[row.to_location_id]].append(_drawn(row, stands_in.get((row.event_id, row.lot_id))))
        else:
            _take_off(found[brew_at[row.from_location_id]], row.lot_id, row.quantity_micro)
    return _with_alpha(found)


def _drawn(row: Posting, stands_in: Substitution | None) -> Drawn:
    wanted = stands_in.wanted if stands_in else row.lot.material
    reason = stands_in.reason if stands_in else ""
    return Drawn(row.event, row.lot, row.from_location, row.quantity_micro, wanted, reason)


def _take_off(found: list[Drawn], lot: int, quantity_micro: int) -> None:
    for place in reversed(range(len(found))):
        if found[place].lot.pk == lot and quantity_micro:
            part = min(quantity_micro, found[place].quantity_micro)
            found[place] = replace(found[place], quantity_micro=found[place].quantity_micro - part)
            quantity_micro -= part


def _with_alpha(found: dict[int, list[Drawn]]) -> dict[int, list[Drawn]]:
    hops = [one for drawn in found.values() for one in drawn if one.lot.material.kind == Material.Kind.HOP]
    alphas = alphas_of((one.lot, one.taken_from, one.event.happened_at) for one in hops)
    told = {id(one): alpha for one, alpha in zip(hops, alphas, strict=True)}
    return {
        brew: [replace(one, alpha=told.get(id(one))) for one in drawn if one.quantity_micro]
        for brew, drawn in found.items()
    }
