"""Bands: what is usual, by a source or by common practice. What lies outside is shown as a doubt, never refused."""

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Band:
    """What is usual of one figure, both ends inclusive, and who says so."""

    label: str
    least: float
    most: float
    unit: str
    source: str

    def doubt(self, value: float) -> str:
        """Return why a figure is unusual in a sentence, or nothing where it is not."""
        if self.least <= value <= self.most:
            return ""
        return f"{self.label} of {_with_unit(f'{value:g}', self.unit)} is unusual: {self} ({self.source}). Look again."

    def __str__(self) -> str:
        if self.most == math.inf:
            return f"at least {_with_unit(f'{self.least:g}', self.unit)}"
        return _with_unit(f"{self.least:g} to {self.most:g}", self.unit)


def _with_unit(figure: str, unit: str) -> str:
    return f"{figure} {unit}".rstrip()
