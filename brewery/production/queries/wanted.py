"""What a brew wants of each material: the lines of its sheet that go into the brewhouse, for the length brewed."""

from dataclasses import dataclass

from brewery.production.models import BrewSheet, SheetHop
from brewery.production.queries.sheet_contents import HopLine, content_of
from brewery.production.queries.sheet_scaling import grain_micro, scaled
from inventory.models import Material


@dataclass(frozen=True)
class Wanted:
    """One line of a sheet: so much of a material in micro-units, or so much alpha acids in milligrams.

    `key` names the line within its sheet; `words` say what it is for.
    """

    key: str
    material: Material
    words: str
    quantity_micro: int | None = None
    alpha_micro: int | None = None


def wanted_by(sheet: BrewSheet, cold_wort_micro: int, *, in_the_cold: bool = False) -> list[Wanted]:
    """Return what the sheet wants for so much cold wort: grain, hops, salts, in the order of the sheet.

    Hops for the cold go into a tank and not into the brew; they are told only where `in_the_cold` asks for them. The
    sheet comes from `sheets_in_full`.
    """
    content = scaled(content_of(sheet), cold_wort_micro)
    grains = [
        Wanted(f"grain-{place}", grain.material, "grain", weight)
        for place, (grain, weight) in enumerate(zip(content.grains, grain_micro(content), strict=True), 1)
    ]
    hops = [
        Wanted(f"hops-{place}", hop.material, _hop_words(hop), hop.weight_micro, hop.alpha_micro)
        for place, hop in enumerate(content.hops, 1)
        if in_the_cold or hop.stage != SheetHop.Stage.COLD
    ]
    salts = [
        Wanted(f"salt-{place}", salt.material, f"salt, {salt.into}", salt.quantity_micro)
        for place, salt in enumerate(content.salts, 1)
    ]
    return [*grains, *hops, *salts]


def _hop_words(hop: HopLine) -> str:
    stage = SheetHop.Stage(hop.stage)
    return f"hops, {stage.label}, {hop.minutes} min" if stage != SheetHop.Stage.COLD else f"hops, {stage.label}"
