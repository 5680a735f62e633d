"""The laboratory: a short way to set limits and to enter certificates."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from brewery.science.units import to_micro
from inventory.models import Certificate, Specification
from inventory.services.certificates import Measured, enter_certificate
from inventory.services.specifications import set_specification
from tests.brewhouse import Brewhouse

LONG_AGO = date(2026, 1, 1)


@dataclass
class Laboratory:
    """Somebody who knows what was measured at one brewhouse."""

    house: Brewhouse

    def ask(self, material: str, property: str, least: str = "", most: str = "", **more: Any) -> Specification:
        """Set limits, in the property's own unit, from long ago on unless a test says otherwise."""
        facts = {"in_force_from": LONG_AGO, "source": "contract 12", **more}
        return set_specification(
            material=self.house.material(material),
            property=property,
            least_micro=millionths(least),
            most_micro=millionths(most),
            **facts,
            **self.house.by("quality"),
        )

    def ask_for_malt(self, material: str = "MUNICH") -> None:
        """Munich malt waits for a certificate: moisture at most 5 %, extract of 80 % and more, ochratoxin below 3."""
        self.ask(material, "moisture", most="5")
        self.ask(material, "extract_fine_dry", least="80")
        self.ask(material, "ochratoxin_a", most="3")

    def enter(self, lot: str, *, role: str = "receiving", number: str = "", **more: Any) -> Certificate:
        """Enter a certificate: `values` by property, or good values for Munich malt."""
        values = more.pop("values", GOOD)
        return enter_certificate(
            lot=self.house.lot(lot),
            values=[Measured(name, value) for name, value in values.items()],
            number=number,
            **{**self.house.by(role), **more},
        )


GOOD = {"moisture": "4.5", "extract_fine_dry": "81.5", "ochratoxin_a": "< 0.1"}


def millionths(text: str) -> int | None:
    """Return a number in millionths; nothing for nothing."""
    return to_micro(text, "each") if text else None
