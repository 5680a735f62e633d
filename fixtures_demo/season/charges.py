"""Charges: what one fermenter is filled with, from knock-out until it is racked."""

from dataclasses import dataclass, field
from datetime import date

from .beers import Beer
from .quantities import KG, L


@dataclass(frozen=True)
class Size:
    """How much yeast a charge is pitched with, and how much slurry is cropped from it."""

    pitch: int
    crop: int
    crop_volume: int


# By the number of brews in the tank; about 1.1 kg of slurry for each hL, and two to three times that in the crop.
SIZES = {
    0.5: Size(32 * KG, 60 * KG, 60 * L),
    1: Size(60 * KG, 130 * KG, 125 * L),
    1.5: Size(75 * KG, 150 * KG, 145 * L),
    2: Size(95 * KG, 190 * KG, 180 * L),
    3: Size(125 * KG, 260 * KG, 250 * L),
}


@dataclass(eq=False)
class Charge:
    """One filling of a fermenter."""

    vessel: str
    beer: Beer
    size: Size
    brews: int
    knocked_out: int = 0
    pitched_on: date | None = None
    generation: int = 0
    harvest_on: date | None = None
    ready_on: date | None = None
    kraeusen_taken: bool = False
    kraeusen_given: bool = False
    blended_with: list["Charge"] = field(default_factory=list)

    @property
    def full(self) -> bool:
        """True once the last brew is in."""
        return self.knocked_out == self.brews

    def age(self, day: date) -> int:
        """Days since pitching; -1 before it."""
        return (day - self.pitched_on).days if self.pitched_on else -1
