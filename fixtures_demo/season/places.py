"""The places of the brewery: stores, silos, tanks, brinks and the laboratory."""

from dataclasses import dataclass

from .quantities import HL, KG, TONNE


@dataclass(frozen=True)
class Place:
    """One place; a capacity of 0 means that nobody has measured it, `warmth` is °C where it is kept.

    `band` is how much beside the meeting of two layers of a silo may hold some of both.
    """

    code: str
    name: str
    kind: str
    filling: str = ""
    capacity: int = 0
    unit: str = ""
    warmth: str = ""
    band: int = 0

    @property
    def is_cleaned(self) -> bool:
        """True of tanks and brinks, which are cleaned between two uses."""
        return self.kind in ("fermenter", "bright_tank", "brink")

    @property
    def holds_one_lot(self) -> bool:
        """True of tanks, brinks and the mixed silo."""
        return self.is_cleaned or self.filling == "mixed"


_STORES = (
    Place("MALT", "Malt store", "store", warmth="16"),
    Place("HOPS", "Hop cold store", "store", warmth="3"),
    Place("DRY", "Dry goods store", "store"),
    Place("LIQUOR", "Brewing liquor supply", "store"),
    Place("PACK", "Packaging materials store", "store"),
    Place("KEGS", "Keg cold store", "store", warmth="5"),
    Place("CASES", "Bottled beer store", "store"),
    Place("DOCK", "Loading dock, chilled", "store", warmth="6"),
    Place("RETURNS", "Returns bay", "store"),
    Place("CAGE", "Locked cage for held goods", "store", warmth="15"),
)
_SILOS = (
    Place("SILO1", "Silo 1, Pilsner malt", "silo", "mixed", 18 * TONNE, "t"),
    Place("SILO2", "Silo 2, pale ale malt", "silo", "layered", 18 * TONNE, "t", band=600 * KG),
)
_FERMENTER_HL = {
    "FV1": 65,
    "FV2": 65,
    "FV3": 65,
    "FV4": 65,
    "FV5": 130,
    "FV6": 130,
    "FV7": 130,
    "FV8": 130,
    "FV9": 180,
}
_BRIGHT_HL = {"BT1": 65, "BT2": 130, "BT3": 180}
_FERMENTERS = tuple(
    Place(code, f"Fermenter {code[2:]}", "fermenter", capacity=size * HL, unit="hL")
    for code, size in _FERMENTER_HL.items()
)
_BRIGHT_TANKS = tuple(
    Place(code, f"Bright tank {code[2:]}", "bright_tank", capacity=size * HL, unit="hL")
    for code, size in _BRIGHT_HL.items()
)
_BRINKS = tuple(
    Place(f"BRINK{number}", f"Yeast brink {number}", "brink", capacity=300 * KG, unit="kg", warmth="1")
    for number in range(1, 7)
)
_LABORATORY = (Place("LAB", "Laboratory", "laboratory"),)

PLACES = {place.code: place for place in (*_STORES, *_SILOS, *_FERMENTERS, *_BRIGHT_TANKS, *_BRINKS, *_LABORATORY)}
STORES = [place.code for place in _STORES]
FERMENTERS = [place.code for place in _FERMENTERS]
BRIGHT_TANKS = [place.code for place in _BRIGHT_TANKS]
BRINKS = [place.code for place in _BRINKS]
