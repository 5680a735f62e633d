"""Contracts of hops for the year, and how everything that is bought regularly is reordered."""

from collections.abc import Iterator
from datetime import datetime

from .clerk import Entry
from .materials import code_of
from .purchases import SUPPLIES, Supply
from .quantities import written

_CONTRACTED = {
    "Magnum": ("H-26-011", "S04", "250"),
    "Tettnanger": ("H-26-012", "S04", "300"),
    "Saaz": ("H-26-021", "S05", "220"),
    "Cascade": ("H-26-031", "S06", "900"),
    "Centennial": ("H-26-032", "S06", "550"),
}
CONTRACT_OF = {code_of(f"{variety} hop pellets"): number for variety, (number, *_) in _CONTRACTED.items()}
"""Which contract an order of a material calls off."""


def contracts() -> Iterator[Entry]:
    """Yield the contracts, and of each supply how it is reordered."""
    for variety, (number, supplier, kg) in _CONTRACTED.items():
        row = {"contract": number, "supplier": supplier, "material": code_of(f"{variety} hop pellets")}
        row |= {"quantity": kg, "unit": "kg", "begins_on": "2026-01-01", "ends_on": "2026-12-31", "crop_year": "2025"}
        yield Entry("supply_contracts", datetime(2026, 2, 17, 9, 0), "receiving", [row])
    for supply in SUPPLIES:
        yield Entry("reorder_settings", datetime(2026, 2, 18, 9, 0), "receiving", [_setting(supply)])


def _setting(supply: Supply) -> dict[str, str]:
    row = {"material": code_of(supply.material), "supplier": supply.supplier, "lead_days": "4", "policy": "fixed"}
    row |= {"quantity": written(supply.pack * supply.packs, supply.unit), "unit": supply.unit}
    service = "99" if supply.kind in ("malt", "packaging") else "95"
    return row | {"service_pct": service, "pack": written(supply.pack, supply.unit)}
