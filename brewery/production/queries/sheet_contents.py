"""What a brew sheet says, apart from who wrote it and when: plain facts that can be written, compared and copied."""

from dataclasses import dataclass, fields
from typing import Any

from brewery.production.models import BrewSheet
from inventory.models import Material


@dataclass(frozen=True)
class GrainLine:
    """One malt or adjunct: a share of the grain by weight in millionths, or a weight in milligrams."""

    material: Material
    share_ppm: int | None = None
    weight_micro: int | None = None


@dataclass(frozen=True)
class HopLine:
    """One hop addition: a weight, or the weight of its alpha acids, in milligrams."""

    material: Material
    stage: str
    minutes: int
    temperature_milli_c: int | None = None
    weight_micro: int | None = None
    alpha_micro: int | None = None


@dataclass(frozen=True)
class SaltLine:
    """One salt or acid, in micro-units of its material, and what it goes into."""

    material: Material
    into: str
    quantity_micro: int


@dataclass(frozen=True)
class IonTarget:
    """What the liquor is to hold of one ion, in thousandths of a milligram a litre."""

    ion: str
    milli_mg_per_l: int


@dataclass(frozen=True)
class MashLine:
    """One step of the mash; `share_ppm` is what of the mash is drawn off."""

    vessel: str
    action: str
    temperature_milli_c: int
    minutes: int
    share_ppm: int | None = None


@dataclass(frozen=True)
class CellarLine:
    """One stretch of days in the cellar."""

    phase: str
    temperature_milli_c: int
    days: int


@dataclass(frozen=True)
class SheetContent:
    """All that a sheet says; the units are those of BrewSheet. Amounts are for `cold_wort_micro`."""

    cold_wort_micro: int
    original_gravity_milli_p: int
    final_gravity_milli_p: int
    yield_ppm: int
    boil_minutes: int
    bitterness_milli_bu: int | None = None
    colour_milli_ebc: int | None = None
    evaporation_ppm: int = 0
    liquor: Material | None = None
    mash_liquor_micro: int | None = None
    sparge_liquor_micro: int | None = None
    yeast: Material | None = None
    pitch_cells: int | None = None
    kraeusen_ppm: int = 0
    is_filtered: bool = False
    note: str = ""
    formats: tuple[Material, ...] = ()
    grains: tuple[GrainLine, ...] = ()
    hops: tuple[HopLine, ...] = ()
    salts: tuple[SaltLine, ...] = ()
    ions: tuple[IonTarget, ...] = ()
    mash_steps: tuple[MashLine, ...] = ()
    cellar_steps: tuple[CellarLine, ...] = ()


LISTS: dict[str, type[Any]] = {
    "grains": GrainLine,
    "hops": HopLine,
    "salts": SaltLine,
    "ions": IonTarget,
    "mash_steps": MashLine,
    "cellar_steps": CellarLine,
}
"""What a sheet lists, and what one line of each says."""

SINGLE = tuple(part.name for part in fields(SheetContent) if part.name not in LISTS and part.name != "formats")
"""What a sheet says once."""


def content_of(sheet: BrewSheet) -> SheetContent:
    """Return what the sheet says. It comes from `sheets_in_full`."""
    said: dict[str, Any] = {name: getattr(sheet, name) for name in SINGLE}
    for name, line_type in LISTS.items():
        parts = [part.name for part in fields(line_type)]
        rows = getattr(sheet, name).all()
        said[name] = tuple(line_type(**{part: getattr(row, part) for part in parts}) for row in rows)
    return SheetContent(**said, formats=tuple(sheet.formats.all()))
