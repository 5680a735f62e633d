"""Hops on the shelf for dry hopping: each lot with its alpha as of the moment and the oil of its certificate."""

from dataclasses import dataclass
from datetime import datetime

from brewery.production.queries.certified import Stated, stated_of
from brewery.science.dry_hops import dry_hops_by_oil_kg, dry_hops_by_weight_kg
from brewery.science.units import MICRO, format_micro
from inventory.models import Balance, Location, Material
from inventory.models.dispositions import Disposition
from inventory.queries.hop_alpha import AlphaToday, alphas_of

OIL = "oil"
_L_IN_HL = 100


@dataclass(frozen=True)
class HopOffer:
    """One lot of hops in one place. `alpha` and `oil` are None where no certificate states them."""

    balance: Balance
    alpha: AlphaToday | None
    oil: Stated | None

    @property
    def words(self) -> str:
        """What is offered, in one line."""
        lot, place = self.balance.lot, self.balance.location
        alpha = f"alpha {self.alpha.alpha_pct:.3g} % today" if self.alpha else "alpha not certified"
        oil = f"oil {self.oil.value:g} mL/100 g" if self.oil else "oil not certified"
        held = format_micro(self.balance.quantity_micro, "kg")
        return f"{lot.material.name}, {lot.code} in {place.name}: {held} kg, {alpha}, {oil}"


def hops_on_the_shelf(moment: datetime) -> list[HopOffer]:
    """Return the released hop lots in the stock by material and age; four statements however many."""
    rows = Balance.objects.held().filter(location__kind__in=Location.STOCK, lot__material__kind=Material.Kind.HOP)
    rows = rows.filter(lot__disposition=Disposition.RELEASED).select_related("lot__material", "location")
    balances = list(rows.order_by("lot__material__name", "lot", "location__code"))
    alphas = alphas_of((row.lot, row.location, moment) for row in balances)
    stated = stated_of([row.lot_id for row in balances])
    return [
        HopOffer(row, alpha, stated.get(row.lot_id, {}).get(OIL)) for row, alpha in zip(balances, alphas, strict=True)
    ]


def weight_micro(dose_g_l: float, volume_micro: int) -> int:
    """Return the hops in milligrams for so many grams in a litre of what a tank holds. Raises OutOfRange."""
    return round(dry_hops_by_weight_kg(dose_g_l, volume_micro / MICRO / _L_IN_HL) * MICRO)


def weight_by_oil_micro(dose_ml_hl: float, volume_micro: int, oil: Stated) -> int:
    """Return the hops in milligrams for so many millilitres of oil in a hectolitre. Raises OutOfRange."""
    return round(dry_hops_by_oil_kg(dose_ml_hl, volume_micro / MICRO / _L_IN_HL, oil.value) * MICRO)


def oil_ml_hl(weight_micro: int, volume_micro: int, oil: Stated) -> float:
    """Return the millilitres of oil that so many milligrams of hops bring to a hectolitre, as certified."""
    return weight_micro * 10 * oil.value * _L_IN_HL / volume_micro
