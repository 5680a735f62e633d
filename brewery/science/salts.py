"""Salts: which ions a gram of a brewing salt brings, by its formula with its water of crystallisation.

The water matters: 4 g of calcium sulfate in a US barrel are 10 mg/L calcium only where it is anhydrous; as gypsum
they are 7.9. Masses from the standard atomic weights of IUPAC (memory).
"""

import enum
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

_CA, _MG, _NA, _S, _CL = 40.078, 24.305, 22.990, 32.06, 35.45
_O, _H, _C = 15.999, 1.008, 12.011
_WATER = 2 * _H + _O


class Ion(enum.StrEnum):
    """What is counted in brewing water."""

    CALCIUM = "calcium"
    MAGNESIUM = "magnesium"
    SODIUM = "sodium"
    CHLORIDE = "chloride"
    SULFATE = "sulfate"
    BICARBONATE = "bicarbonate"
    CARBONATE = "carbonate"
    HYDROXIDE = "hydroxide"

    @property
    def mass(self) -> float:
        """Grams of a mole."""
        return _MASSES[self]


_MASSES: Mapping[Ion, float] = MappingProxyType(
    {
        Ion.CALCIUM: _CA,
        Ion.MAGNESIUM: _MG,
        Ion.SODIUM: _NA,
        Ion.CHLORIDE: _CL,
        Ion.SULFATE: _S + 4 * _O,
        Ion.BICARBONATE: _H + _C + 3 * _O,
        Ion.CARBONATE: _C + 3 * _O,
        Ion.HYDROXIDE: _O + _H,
    }
)


@dataclass(frozen=True, slots=True)
class Salt:
    """One salt in one form: its formula is what tells it from its other hydrates.

    `only_dissolves` is false where it turns alkalinity into something else as well, which depends on mash and gas.
    """

    formula: str
    name: str
    ions: tuple[tuple[Ion, int], ...]
    water: int = 0
    only_dissolves: bool = True

    @property
    def mass(self) -> float:
        """Grams of a mole, water of crystallisation included."""
        return sum(count * ion.mass for ion, count in self.ions) + self.water * _WATER

    def mg_per_g(self) -> dict[Ion, float]:
        """Return the milligrams of each ion in a gram: mg/L for each g/L."""
        return {ion: 1000 * count * ion.mass / self.mass for ion, count in self.ions}


_CALCIUM_SULFATE = ((Ion.CALCIUM, 1), (Ion.SULFATE, 1))
_CALCIUM_CHLORIDE = ((Ion.CALCIUM, 1), (Ion.CHLORIDE, 2))

GYPSUM = Salt("CaSO4·2H2O", "gypsum", _CALCIUM_SULFATE, water=2)
CALCIUM_SULFATE = Salt("CaSO4", "calcium sulfate, anhydrous", _CALCIUM_SULFATE)
CALCIUM_CHLORIDE_DIHYDRATE = Salt("CaCl2·2H2O", "calcium chloride dihydrate", _CALCIUM_CHLORIDE, water=2)
CALCIUM_CHLORIDE = Salt("CaCl2", "calcium chloride, anhydrous", _CALCIUM_CHLORIDE)
EPSOM_SALT = Salt("MgSO4·7H2O", "Epsom salt", ((Ion.MAGNESIUM, 1), (Ion.SULFATE, 1)), water=7)
MAGNESIUM_CHLORIDE = Salt(
    "MgCl2·6H2O", "magnesium chloride hexahydrate", ((Ion.MAGNESIUM, 1), (Ion.CHLORIDE, 2)), water=6
)
SODIUM_CHLORIDE = Salt("NaCl", "sodium chloride", ((Ion.SODIUM, 1), (Ion.CHLORIDE, 1)))
SODIUM_BICARBONATE = Salt("NaHCO3", "sodium bicarbonate", ((Ion.SODIUM, 1), (Ion.BICARBONATE, 1)))
CHALK = Salt("CaCO3", "calcium carbonate", ((Ion.CALCIUM, 1), (Ion.CARBONATE, 1)), only_dissolves=False)
LIME = Salt("Ca(OH)2", "slaked lime", ((Ion.CALCIUM, 1), (Ion.HYDROXIDE, 2)), only_dissolves=False)

SALTS: Mapping[str, Salt] = MappingProxyType(
    {
        salt.formula: salt
        for salt in (
            GYPSUM,
            CALCIUM_SULFATE,
            CALCIUM_CHLORIDE_DIHYDRATE,
            CALCIUM_CHLORIDE,
            EPSOM_SALT,
            MAGNESIUM_CHLORIDE,
            SODIUM_CHLORIDE,
            SODIUM_BICARBONATE,
            CHALK,
            LIME,
        )
    }
)
"""By formula: what a material has to say of itself."""


def bicarbonate_of_chalk_mg_per_g() -> float:
    """Return the milligrams of bicarbonate that a gram of chalk becomes where carbon dioxide dissolves all of it."""
    return 2000 * Ion.BICARBONATE.mass / CHALK.mass
