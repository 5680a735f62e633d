"""Isomerisation: how much alpha acid becomes iso-alpha acid in hot wort, and how much of that breaks down again.

Two first-order reactions one after the other: Malowicki and Shellhammer, J. Agric. Food Chem. 2005, 53, 4434, measured
at 90 to 130 °C in a buffer of pH 5.2 on dissolved alpha acids; glucose, maltose, calcium and pH 4.8 to 6.0 made no
difference (Malowicki's thesis, 2004). Cooler is carried on. This is the kettle alone: beer holds less, by what stays
undissolved and what trub, yeast, foam and filter take.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from brewery.science.ranges import MINUTES, Range

ALPHA_SOLUBLE_MG_L = 90
"""About what dissolves at pH 5.2 (Malowicki's thesis, 2004); beyond it the model says too much."""

ALPHA_MG_L = Range(0, 2000, "mg/L", "Look up the weight of the hops and the volume.")
LEAST_MEASURED_C = 90
WORT_C = Range(0, 130, "°C", "The reaction was measured up to 130 °C.")
_KELVIN = 273.15
_LARGEST_STEP_K = 0.1


@dataclass(frozen=True, slots=True)
class Heat:
    """Minutes during which the wort goes evenly from one temperature to another, or keeps one. Raises OutOfRange."""

    minutes: float
    from_c: float
    to_c: float

    def __post_init__(self) -> None:
        MINUTES.check("minutes", self.minutes)
        WORT_C.check("from_c", self.from_c)
        WORT_C.check("to_c", self.to_c)

    @classmethod
    def steady(cls, minutes: float, temperature_c: float) -> "Heat":
        """Return minutes at one temperature: a boil, a stand. Raises OutOfRange."""
        return cls(minutes, temperature_c, temperature_c)


@dataclass(frozen=True, slots=True)
class Isomerised:
    """What one part of alpha acid has become: alpha still, and iso-alpha; the rest is broken down.

    `is_extrapolated` where some of the time was below 90 °C.
    """

    alpha: float
    iso: float
    is_extrapolated: bool


def forming_rate(temperature_c: float) -> float:
    """Return the rate per minute at which alpha becomes iso-alpha. Raises OutOfRange."""
    WORT_C.check("temperature_c", temperature_c)
    return 7.9e11 * math.exp(-11858 / (temperature_c + _KELVIN))


def breaking_rate(temperature_c: float) -> float:
    """Return the rate per minute at which iso-alpha breaks down. Raises OutOfRange."""
    WORT_C.check("temperature_c", temperature_c)
    return 4.1e12 * math.exp(-12994 / (temperature_c + _KELVIN))


def isomerised(heats: Iterable[Heat]) -> Isomerised:
    """Return what becomes of one part of alpha acid, dissolved at the start of the first of the heats.

    A steady heat is exact; an even rise or fall is cut into steps of a tenth of a kelvin, each at its middle
    temperature: exact to 0.001 %. Other curves of cooling: give several heats.
    """
    alpha, iso, is_extrapolated = 1.0, 0.0, False
    for heat in heats:
        is_extrapolated |= heat.minutes > 0 and min(heat.from_c, heat.to_c) < LEAST_MEASURED_C
        for minutes, temperature_c in _steps(heat):
            alpha, iso = _after(alpha, iso, minutes, temperature_c)
    return Isomerised(alpha, iso, is_extrapolated)


def dissolved_part(alpha_mg_l: float) -> float:
    """Return which part of the alpha acids dissolves where so many mg/L are added. Raises OutOfRange.

    All up to about 90 mg/L at pH 5.2, of more only that much (Malowicki's thesis, 2004); what isomerises makes room, so
    that this is the least.
    """
    ALPHA_MG_L.check("alpha_mg_l", alpha_mg_l)
    return min(1.0, ALPHA_SOLUBLE_MG_L / alpha_mg_l) if alpha_mg_l else 1.0


def peak(temperature_c: float) -> tuple[float, float]:
    """Return the minutes at one temperature after which most iso-alpha is there, and how much per part of alpha.

    Raises OutOfRange.
    """
    forming, breaking = forming_rate(temperature_c), breaking_rate(temperature_c)
    minutes = math.log(forming / breaking) / (forming - breaking)
    return minutes, isomerised([Heat.steady(minutes, temperature_c)]).iso


def _steps(heat: Heat) -> Iterable[tuple[float, float]]:
    if heat.from_c == heat.to_c:
        return [(heat.minutes, heat.from_c)]
    count = math.ceil(abs(heat.to_c - heat.from_c) / _LARGEST_STEP_K)
    rise_c = (heat.to_c - heat.from_c) / count
    return [(heat.minutes / count, heat.from_c + (step + 0.5) * rise_c) for step in range(count)]


def _after(alpha: float, iso: float, minutes: float, temperature_c: float) -> tuple[float, float]:
    """The exact solution at one temperature; the two rates are never equal below 400 °C."""
    forming, breaking = forming_rate(temperature_c), breaking_rate(temperature_c)
    alpha_left, iso_left = math.exp(-forming * minutes), math.exp(-breaking * minutes)
    made = alpha * forming / (breaking - forming) * (alpha_left - iso_left)
    return alpha * alpha_left, iso * iso_left + made
