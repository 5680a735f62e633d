"""The brewery's own standards: what its strains, places and packages are held to."""

from collections.abc import Iterator
from datetime import datetime

from .beers import BEERS, packaged
from .clerk import Entry
from .materials import code_of

# Rate in million living cells for each mL and °P, and the days after the pitch between which a crop is taken.
_STRAINS = {
    "Lager yeast Q1": ("1.2", "7", "16"),
    "Ale yeast Q2": ("0.75", "4", "9"),
    "Wheat yeast Q3": ("0.75", "5", "9"),
    "Stout yeast Q4": ("0.75", "5", "9"),
}
WARMTHS = (
    ("CASES", "12", datetime(2026, 3, 2, 6, 10)),
    ("CASES", "17", datetime(2026, 6, 1, 6, 10)),
    ("CASES", "20", datetime(2026, 7, 6, 6, 10)),
    ("MALT", "20", datetime(2026, 6, 15, 6, 15)),
    ("KEGS", "9", datetime(2026, 7, 20, 5, 50)),
    ("KEGS", "5", datetime(2026, 7, 21, 16, 35)),
)
"""Halls that follow the weather, and the day on which the compressor of the keg store stood still."""


def standards() -> Iterator[Entry]:
    """Yield what strains are held to, how warm places are, and how lots are coded from the end of the season on."""
    for strain, (rate, first, last) in _STRAINS.items():
        row = {"yeast": code_of(strain), "last_generation": "6", "least_viability_pct": "85", "most_days": "10"}
        row |= {"rate": rate, "harvest_from_days": first, "harvest_until_days": last, "in_force_from": "2026-02-16"}
        yield Entry("strain_settings", datetime(2026, 2, 16, 10, 30), "quality", [row | {"source": "Own standard"}])
    for place, warmth, since in WARMTHS:
        yield Entry("place_temperatures", since, "administration", [{"location": place, "temperature_c": warmth}])
    for beer in BEERS:
        for form in beer.formats:
            row = {"material": code_of(packaged(beer, form)), "pattern": f"{beer.code}-{form}-{{year}}{{day}}"}
            row |= {"life": str(beer.keeps_days), "life_in": "days", "in_force_from": "2026-08-31"}
            yield Entry("packaging_rules", datetime(2026, 8, 26, 14, 0), "quality", [row])
