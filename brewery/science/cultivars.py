"""Cultivars: how well the alpha acids of a hop keep, and how much of them it has, as published.

Defaults only: figures for one name differ widely by country, crop and laboratory, so the sources that disagree stand
side by side, and each lot may have a rate of its own. "Kept" is % of the original alpha left after 6 months: at room
temperature (USDA-ARS World Hop Cultivar Collection, by accession) or at 20 °C (lists of the trade).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from brewery.science.estimates import Estimate
from brewery.science.storage import rate_from_loss

SIX_MONTHS_DAYS = 180
"""As in Garetz, Brewing Techniques 2(1); 182.5 would change a rate by 1.4 %."""


@dataclass(frozen=True, slots=True)
class Kept:
    """What one source says is left after six months, in %."""

    least_pct: float
    most_pct: float
    source: str


@dataclass(frozen=True, slots=True)
class Cultivar:
    """One hop: what is kept by each source, the first the one to go by, and the usual alpha in %, where it was read."""

    name: str
    kept: tuple[Kept, ...]
    alpha_pct: tuple[float, float] | None

    @property
    def rate_per_day(self) -> Estimate:
        """The rate per day at 20 °C in the open: of the middle of the first source; the interval is all of them."""
        first = self.kept[0]
        return Estimate(
            _rate((first.least_pct + first.most_pct) / 2),
            _rate(max(kept.most_pct for kept in self.kept)),
            _rate(min(kept.least_pct for kept in self.kept)),
        )


def _rate(kept_pct: float) -> float:
    return rate_from_loss(100 - kept_pct, SIX_MONTHS_DAYS)


def _usda(accession: int, least_pct: float, most_pct: float | None = None) -> Kept:
    source = f"USDA-ARS World Hop Cultivar Collection, accession {accession}"
    return Kept(least_pct, least_pct if most_pct is None else most_pct, source)


_PROFILES = "Hop profiles of April 1997, brewery.org"
_SUPPLIER = "brewerylane.com, hop profiles"
_PROBREWER = "probrewer.com library"

_TABLE = (
    Cultivar("Cascade", (_usda(21092, 40), Kept(48, 52, _PROBREWER)), (5.1, 8.9)),
    Cultivar("Hallertauer Gold", (_usda(21671, 47),), (7, 10)),
    Cultivar("Saaz", (_usda(21077, 51),), (2.8, 6.6)),
    Cultivar("Hallertauer mittelfrüh", (_usda(56001, 54), _usda(21014, 55)), (3.3, 5.5)),
    Cultivar("Tettnanger", (_usda(61021, 57),), (4.1, 6.3)),
    Cultivar("Hersbrucker E", (_usda(21179, 58),), (4, 6)),
    Cultivar("Hersbrucker red-stem", (_usda(21517, 60),), (5, 6)),
    Cultivar("Précoce de Bourgogne", (_usda(21168, 61),), (3.1, 3.7)),
    Cultivar("Eroica", (_usda(21220, 61), Kept(55, 65, _SUPPLIER)), (10.2, 14.7)),
    Cultivar("Southern Brewer", (_usda(21187, 70),), (5.6, 12.0)),
    Cultivar("Tettnanger US", (_usda(21197, 70),), (3.5, 8.8)),
    Cultivar("Hersbrucker Pure", (_usda(21673, 71),), None),
    Cultivar("Fuggle", (_usda(19209, 75),), (2.4, 6.1)),
    Cultivar("Northern Brewer", (_usda(21093, 78), Kept(70, 85, "oregonbrewcrew.org")), (8.8, 13.5)),
    Cultivar("Galena", (_usda(21182, 75, 85),), (8.0, 14.9)),
    Cultivar("Hallertauer Magnum", (_usda(21670, 90, 100),), (12, 17)),
    Cultivar("Yakima Cluster", (Kept(80, 85, _PROBREWER),), (4.4, 9.8)),
    Cultivar("Bullion", (Kept(40, 50, _PROFILES),), (6.5, 9)),
    Cultivar("Crystal", (Kept(50, 50, _SUPPLIER),), (2, 4.5)),
    Cultivar("Mt. Hood", (Kept(55, 55, _PROBREWER),), (4, 8)),
    Cultivar("Centennial", (Kept(60, 65, _PROFILES),), (9.5, 11.5)),
    Cultivar("Chinook", (Kept(60, 70, _PROFILES),), (12, 14)),
    Cultivar("Willamette", (Kept(60, 65, "homebrewing-equipment.com"),), (4, 6)),
    Cultivar("Challenger", (Kept(70, 85, _PROFILES),), (7, 10)),
)
CULTIVARS: Mapping[str, Cultivar] = MappingProxyType({one.name: one for one in _TABLE})
"""By name. Of Golding, Perle, Nugget and Brewer's Gold no figure was found: give their lots a rate of their own."""
