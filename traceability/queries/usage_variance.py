"""Variance: what was drawn for each brew beside what its sheet wanted for its length."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from brewery.production.models import Brew, BrewSheet
from brewery.production.queries.drawn import Drawn, drawn_by_brew
from brewery.production.queries.sheet_contents import content_of
from brewery.production.queries.sheet_scaling import scaled
from brewery.production.queries.sheets import sheets_in_full
from brewery.production.queries.wanted import wanted_by
from inventory.models import Material
from inventory.queries.usage import Period
from traceability.queries.duty_moments import edges

DOUBTED_PCT = 5
"""Beyond so much off the sheet a draw is marked: common practice, no source."""


@dataclass(frozen=True)
class Variance:
    """One material of one brew, in micro-units; hops by their alpha acids where the sheet weighs those.

    `wanted_micro` is 0 for what the sheet does not name. `is_alpha`: both are millionths of a kilogram of alpha acids,
    and `drawn_micro` is None where the alpha of what was drawn is not known.
    """

    brew: Brew
    material: Material
    wanted_micro: int
    drawn_micro: int | None
    is_alpha: bool = False

    @property
    def off_micro(self) -> int | None:
        """How much more was drawn than wanted, below zero less."""
        return None if self.drawn_micro is None else self.drawn_micro - self.wanted_micro

    @property
    def off_pct(self) -> float | None:
        """The same in per cent of what was wanted; None where nothing was, or nobody can tell."""
        off = self.off_micro
        return 100 * off / self.wanted_micro if off is not None and self.wanted_micro else None

    @property
    def is_doubted(self) -> bool:
        """Whether it is so far off that somebody should say why."""
        pct = self.off_pct
        return abs(pct) > DOUBTED_PCT if pct is not None else bool(self.off_micro)


def variances(period: Period) -> list[Variance]:
    """Return them for the brews by a sheet that began in the period, brew by brew as they began.

    What stands in for a material counts as that. What goes into the tank later is not among them.
    """
    start, end = edges(period)
    brews = list(
        Brew.objects.filter(started_at__gte=start, started_at__lt=end, sheet__isnull=False)
        .select_related("beer", "location")
        .order_by("started_at", "code")
    )
    sheets = sheets_in_full().in_bulk({brew.sheet_id for brew in brews})
    drawn = drawn_by_brew(brews) if brews else {}
    return [one for brew in brews for one in _of_brew(brew, sheets[brew.sheet_id], drawn[brew.pk])]


def _of_brew(brew: Brew, sheet: BrewSheet, drawn: Sequence[Drawn]) -> list[Variance]:
    wanted: dict[int, int] = defaultdict(int)
    alphas: dict[int, int] = defaultdict(int)
    materials = {one.wanted.pk: one.wanted for one in drawn}
    for line in wanted_by(sheet, brew.cold_wort_micro or 0):
        materials[line.material.pk] = line.material
        if line.alpha_micro is None:
            wanted[line.material.pk] += line.quantity_micro or 0
        else:
            alphas[line.material.pk] += line.alpha_micro
    content = scaled(content_of(sheet), brew.cold_wort_micro or 0)
    if content.liquor:
        materials[content.liquor.pk] = content.liquor
        wanted[content.liquor.pk] += (content.mash_liquor_micro or 0) + (content.sparge_liquor_micro or 0)
    by_material: dict[int, list[Drawn]] = defaultdict(list)
    for one in drawn:
        by_material[one.wanted.pk].append(one)
    return [
        _variance(brew, materials[key], wanted[key], alphas[key], by_material[key])
        for key in sorted(materials, key=lambda key: materials[key].code)
    ]


def _variance(brew: Brew, material: Material, wanted: int, alpha: int, drawn: Sequence[Drawn]) -> Variance:
    weight = sum(one.quantity_micro for one in drawn)
    if not alpha:
        return Variance(brew, material, wanted, weight)
    if any(one.alpha is None for one in drawn):
        return Variance(brew, material, alpha, None, is_alpha=True)
    held = sum(round(one.quantity_micro * one.alpha.alpha_pct / 100) for one in drawn if one.alpha)
    by_weight = round(wanted * held / weight) if weight else 0
    return Variance(brew, material, alpha + by_weight, held, is_alpha=True)
