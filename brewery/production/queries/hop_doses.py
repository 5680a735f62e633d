"""What each hop addition of a sheet weighs on a day: by the alpha acids that the lots to take hold on that day.

Two additions of one hop share its lots: what the first takes is not there for the second.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from brewery.production.queries.sheet_contents import HopLine
from brewery.production.queries.sheet_stock import ALPHA, SheetStock
from brewery.science.units import format_micro
from inventory.models import Lot, Material


@dataclass(frozen=True)
class HopsOfLot:
    """What one addition takes of one lot, in milligrams, and the lot's alpha acids in %, where they are known."""

    lot: Lot
    weight_micro: int
    alpha_pct: float | None
    source: str


@dataclass(frozen=True)
class HopDose:
    """One addition as it is to be weighed. `missing_micro` is what no lot covers, of weight or of alpha acids."""

    line: HopLine
    parts: tuple[HopsOfLot, ...]
    missing_micro: int

    @property
    def weight_micro(self) -> int | None:
        """What the addition weighs; for alpha acids with what is missing at the last lot's, or None without any lot."""
        if self.line.weight_micro is not None:
            return self.line.weight_micro
        if not self.parts:
            return None
        return sum(part.weight_micro for part in self.parts) + _weight_of(self.missing_micro, self.parts[-1])

    @property
    def reason(self) -> str:
        """Where the weight comes from, in words."""
        taken = "; ".join(_told(part) for part in self.parts)
        if not self.parts:
            return f"No lot of {self.line.material} can be taken whose alpha acids are certified."
        if self.line.alpha_micro is None:
            return f"Weighed as the sheet says. {taken}."
        missing = f" For {_grams(self.missing_micro)} alpha no lot is left." if self.missing_micro else ""
        return f"{_grams(self.line.alpha_micro)} alpha acids. {taken}.{missing}"


class _Shelf:
    """The lots of one hop, and what is left of each while the additions are weighed one after another."""

    def __init__(self, material: Material, stock: SheetStock) -> None:
        self.lots = [(one.lot, stock.stated_of(one.lot, ALPHA)) for one in stock.lots_of(material)]
        self.left = {one.lot.pk: one.free_micro for one in stock.lots_of(material)}

    def weigh(self, line: HopLine) -> HopDose:
        """Return what the addition takes, lot by lot. Lots without certified alpha serve only a weight."""
        wanted = line.weight_micro if line.weight_micro is not None else line.alpha_micro or 0
        parts: list[HopsOfLot] = []
        for lot, stated in self.lots:
            alpha_pct = stated.value if stated else None
            if line.weight_micro is None and not alpha_pct:
                continue
            part = HopsOfLot(lot, self.left[lot.pk], alpha_pct, stated.source if stated else "not certified")
            needed = wanted if line.weight_micro is not None else _weight_of(wanted, part)
            taken = HopsOfLot(lot, min(needed, self.left[lot.pk]), alpha_pct, part.source)
            if taken.weight_micro:
                parts.append(taken)
                self.left[lot.pk] -= taken.weight_micro
                wanted = max(0, wanted - _counted(line, taken)) if taken.weight_micro < needed else 0
        return HopDose(line, tuple(parts), wanted)


def doses_of(hops: Sequence[HopLine], stock: SheetStock) -> list[HopDose]:
    """Return what each addition weighs, in the order of the sheet."""
    shelves = {hop.material.pk: _Shelf(hop.material, stock) for hop in hops}
    return [shelves[hop.material.pk].weigh(hop) for hop in hops]


def _counted(line: HopLine, taken: HopsOfLot) -> int:
    """What the part brings of what the line counts: weight, or alpha acids."""
    if line.weight_micro is not None:
        return taken.weight_micro
    return round(taken.weight_micro * (taken.alpha_pct or 0) / 100)


def _weight_of(alpha_micro: int, part: HopsOfLot) -> int:
    return round(alpha_micro * 100 / part.alpha_pct) if part.alpha_pct else 0


def _told(part: HopsOfLot) -> str:
    alpha = "alpha not certified" if part.alpha_pct is None else part.source
    return f"{format_micro(part.weight_micro, 'kg', 3)} kg of lot {part.lot.code} ({alpha})"


def _grams(micro: int) -> str:
    return f"{format_micro(micro, 'g', 1)} g"
