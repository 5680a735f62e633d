"""Kraeusen: fermenting wort that is put to green beer, as a share of either. Each share needs its basis in its name.

Published are 10 to 12 % of the green beer (MacDonald 1984), 10 to 17 % (byo.com), 5 to 20 % (Coors 1977). The blend has
two parent brews, and the yeast of both.
"""

from dataclasses import dataclass

from brewery.science.bands import Band
from brewery.science.ranges import VOLUME_HL, Range

USUAL_SHARE = Band("Kraeusen", 5, 20, "% of the green beer", "Coors 1977, as in beer-brewing.com, kräusening")
SHARE_PCT = Range(0, 100, "% of the green beer", "Write the share of the green beer.")


@dataclass(frozen=True, slots=True)
class KraeusenShares:
    """The kraeusen in % of the green beer before it, and in % of the blend."""

    of_green_beer_pct: float
    of_blend_pct: float


def kraeusen_shares(kraeusen_hl: float, green_beer_hl: float) -> KraeusenShares:
    """Return both shares of a volume of kraeusen. Raises OutOfRange."""
    VOLUME_HL.check("kraeusen_hl", kraeusen_hl)
    VOLUME_HL.check("green_beer_hl", green_beer_hl)
    return KraeusenShares(100 * kraeusen_hl / green_beer_hl, 100 * kraeusen_hl / (kraeusen_hl + green_beer_hl))


def kraeusen_hl(green_beer_hl: float, of_green_beer_pct: float) -> float:
    """Return the volume of kraeusen that is a share of the green beer. Raises OutOfRange."""
    VOLUME_HL.check("green_beer_hl", green_beer_hl)
    SHARE_PCT.check("of_green_beer_pct", of_green_beer_pct)
    return green_beer_hl * of_green_beer_pct / 100
