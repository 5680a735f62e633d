"""The register of materials: what is bought, what is made on the way, and what is sold."""

import re
import unicodedata
from dataclasses import dataclass

from .beers import BEERS, FORMATS, packaged
from .purchases import CULTURES, LIQUOR, SILO_MALTS, SUPPLIES


@dataclass(frozen=True)
class Material:
    """One row of the register."""

    name: str
    kind: str
    unit: str
    arrives: str
    contents: str = ""
    contents_unit: str = ""

    @property
    def code(self) -> str:
        """The name in small letters and hyphens, such as `hallertau-mittelfruh-hop-pellets`."""
        plain = unicodedata.normalize("NFKD", self.name).encode("ascii", "ignore").decode().lower()
        return re.sub("[^a-z0-9]+", "-", plain)


def _bought() -> list[Material]:
    silo_malts = [Material(name, "malt", "kg", arrives) for name, _, arrives in SILO_MALTS.values()]
    supplies = [Material(supply.material, supply.kind, supply.unit, supply.arrives) for supply in SUPPLIES]
    cultures = [Material(strain, "yeast", "kg", "quarantined") for strain in CULTURES]
    trial = Material("Isinglass finings", "fining", "L", "released")
    liquor = Material(LIQUOR.material, LIQUOR.kind, LIQUOR.unit, LIQUOR.arrives)
    return [*silo_malts, *supplies, trial, *cultures, liquor]


def _made() -> list[Material]:
    worts = [Material(beer.wort, "wort", "L", "released") for beer in BEERS]
    beers = [Material(beer.name, "beer", "L", "released") for beer in BEERS]
    filled = [
        Material(packaged(beer, form), "packaged", "each", "quarantined", FORMATS[form][1], "L")
        for beer in BEERS
        for form in beer.formats
    ]
    return [*worts, *beers, *filled]


MATERIALS = {material.name: material for material in (*_bought(), *_made())}


def code_of(material: str) -> str:
    """The code of the material of that name."""
    return MATERIALS[material].code
