"""What the stock says to a brew sheet on one day: the lots that would be taken, and what their certificates state."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from django.db.models import OuterRef, Subquery

from brewery.kernel.clock import brewery_zone
from brewery.production.queries.certified import Stated, Statements, stated_of, usual_as_is_pct
from brewery.production.queries.sheet_contents import SheetContent
from inventory.models import Certificate, Lot, Material
from inventory.queries.hop_alpha import alphas_of
from inventory.queries.proposals import takeable
from inventory.queries.stock import LotStock

ALPHA = "alpha"
_NOON = time(12)


@dataclass(frozen=True)
class SheetStock:
    """The lots by material in the order in which they would be taken, and what is stated of them."""

    lots: dict[int, list[LotStock]]
    last: dict[int, int]
    stated: Statements
    usual_as_is: dict[int, tuple[float, int]]

    def lots_of(self, material: Material) -> list[LotStock]:
        """Return the lots that may be taken of the material, the first to expire first."""
        return self.lots.get(material.pk, [])

    def stated_of(self, lot: Lot, key: str) -> Stated | None:
        """Return what is stated of a lot."""
        return self.stated.get(lot.pk, {}).get(key)

    def figure(self, material: Material, key: str, weight_micro: int) -> Stated | None:
        """Return one figure of so much of the material: the mean by weight over the lots that would be taken.

        Where none of them has a certificate, the newest that there is of the material; None where there is none.
        """
        taken, left = [], weight_micro
        for stock in self.lots_of(material):
            part = min(left, stock.free_micro)
            stated = self.stated_of(stock.lot, key)
            if stated and part > 0:
                taken.append((part, stated, stock.lot.code))
            left -= part
        if taken:
            whole = sum(part for part, _, _ in taken)
            words = "; ".join(f"lot {code}: {stated.value:.4g} by {stated.source}" for _, stated, code in taken)
            return Stated(sum(part * stated.value for part, stated, _ in taken) / whole, words)
        stated = self.stated.get(self.last.get(material.pk, 0), {}).get(key)
        return (
            Stated(stated.value, f"{stated.value:.4g} by {stated.source}, of a lot that is not here")
            if stated
            else None
        )


def stock_for(content: SheetContent, day: date) -> SheetStock:
    """Return what is here for the sheet on that day: a fixed number of statements however much it lists."""
    listed = [*(grain.material for grain in content.grains), *(hop.material for hop in content.hops)]
    materials = {material.pk: material for material in listed}
    if content.liquor:
        materials[content.liquor.pk] = content.liquor
    lots = takeable(materials.values(), today=day, use_on=day)
    last = _last_certified(materials)
    here = [stock.lot for stocks in lots.values() for stock in stocks]
    stated = stated_of({*(lot.pk for lot in here), *last.values()})
    hops = {hop.material.pk for hop in content.hops}
    _tell_alpha(stated, [stock for material, stocks in lots.items() if material in hops for stock in stocks], day)
    grains = [grain.material for grain in content.grains]
    return SheetStock(lots, last, stated, usual_as_is_pct(grains))


def _tell_alpha(stated: Statements, stocks: Sequence[LotStock], day: date) -> None:
    """The alpha acids of hop lots are those of the day, by how warm they lay since they were certified."""
    noon = datetime.combine(day, _NOON, brewery_zone())
    for alpha in alphas_of((stock.lot, stock.places[0].location, noon) for stock in stocks):
        if alpha:
            stated[alpha.lot.pk][ALPHA] = Stated(alpha.alpha_pct, alpha.why)


def _last_certified(materials: Collection[int]) -> dict[int, int]:
    """Return by material the lot whose certificate was recorded last."""
    certificates = Certificate.objects.filter(lot__material=OuterRef("pk"), replaced_by=None, lot__reversed_by=None)
    last = Subquery(certificates.order_by("-recorded_at", "-pk").values("lot")[:1])
    rows = Material.objects.filter(pk__in=materials).annotate(last_lot=last).exclude(last_lot=None)
    return dict(rows.values_list("pk", "last_lot"))
