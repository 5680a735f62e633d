"""Analyses: which properties a certificate of analysis states, by kind of certificate.

The ranges are not limits: they are as wide as the stuff can be, so that only a slip of the pen falls outside. What is
good enough is set per material. "Memory" marks what no source at hand says.
"""

from collections.abc import Mapping
from types import MappingProxyType

from brewery.science.hops import HopForm, Pack
from brewery.science.properties import Property, choice, day, named, number, whole, words
from brewery.science.tank_readings import READINGS

_MALT = "MEBAK raw materials, EBC Analytica section 4 (memory); typical values: "
_HOP = "EBC Analytica section 7 (memory); "
_MYCOTOXIN = "µg/kg as in Regulation (EU) 2024/1022 and (EU) 2023/915; range common practice, no source"
_ION = "ranges of brewing water: Palmer, Water, as quoted by homebrewingnews.com water-101; up to brackish water"
_PACKAGING = "common practice, no source"
_BEER = "EBC Analytica section 9 (memory); "
_MICROBES = "per million cells as in Richards, J. Inst. Brew. 1968"

MALT = named(
    number("moisture", "Moisture", "%", 0, 50, f"{_MALT}3.5 to 5 %, probrewer.com; green malt 42 to 48 % (memory)"),
    number("extract_fine_as_is", "Extract, fine grind, as-is", "%", 40, 95, f"{_MALT}77 to 82 %, MBAA TQ 1997 34(1)"),
    number("extract_fine_dry", "Extract, fine grind, dry basis", "%", 40, 95, f"{_MALT}79.5 to 83 %, e-malt.com"),
    number("colour", "Colour of the wort", "EBC", 0, 2000, f"{_MALT}2.5 to 4.5 pale; black malt to 1500 (memory)"),
    number("protein", "Protein (N × 6.25), dry basis", "%", 3, 25, f"{_MALT}9 to 12 %, montana.edu"),
    number("kolbach", "Kolbach index", "%", 10, 80, f"{_MALT}36 to 42, TGL 17756"),
    number("friability", "Friability", "%", 0, 100, f"{_MALT}80 and more, homebrewersassociation.org"),
    number("diastatic_power", "Diastatic power", "WK", 0, 1000, f"{_MALT}200 and more, TGL 17756"),
    number("deoxynivalenol", "Deoxynivalenol (DON)", "µg/kg", 0, 50_000, _MYCOTOXIN),
    number("t2_ht2", "T-2 and HT-2 toxin, sum", "µg/kg", 0, 50_000, _MYCOTOXIN),
    number("ochratoxin_a", "Ochratoxin A", "µg/kg", 0, 10_000, _MYCOTOXIN),
)

HOP = named(
    number("alpha", "Alpha acids", "%", 0, 70, f"{_HOP}cones 2 to 18 %, USDA-ARS cultivar pages; extracts to 60 %"),
    number("beta", "Beta acids", "%", 0, 60, f"{_HOP}cones to 10 %; extracts more (memory)"),
    number("hsi", "Hop storage index", "", "0.1", 2, "0.25 up to about 1, barthhaas.com on ASBC Hops-12"),
    number("moisture", "Moisture", "%", 0, 85, f"{_HOP}pellets 7 to 10 %; green hops 80 % (memory)"),
    number("oil", "Oil", "mL/100 g", 0, 20, f"{_HOP}cones to 4 mL; extracts more (memory)"),
    choice("form", "Form", *HopForm, source=_PACKAGING),
    whole("harvest_year", "Harvest year", 1990, 2100, _PACKAGING),
    choice(
        "pack",
        "Protection of the pack",
        *Pack,
        source="the storage factors of Garetz, Brewing Techniques 2(1)",
    ),
)

YEAST = named(
    words("strain", "Strain", _PACKAGING),
    whole("generation", "Generation", 0, 100, "5 to 20 and more, Quain, Generation number, ebrary.net 83041"),
    number("viability", "Viability", "%", 0, 100, "more than 95 %, MEBAK M-350; methylene blue or as stated"),
    number("cell_count", "Cell count", "million/mL", 0, 20_000, "slurry 1200 to 4500 million/mL, yeast suppliers"),
    day("propagated_on", "Propagated on", _PACKAGING),
    number("wild_yeast", "Wild yeast", "per million cells", 0, 1_000_000, _MICROBES),
    number("bacteria", "Bacteria", "per million cells", 0, 1_000_000, f"{_MICROBES}, for bacteria memory"),
)

WATER = named(
    number("calcium", "Calcium", "mg/L", 0, 2000, _ION),
    number("magnesium", "Magnesium", "mg/L", 0, 2000, _ION),
    number("sodium", "Sodium", "mg/L", 0, 5000, _ION),
    number("chloride", "Chloride", "mg/L", 0, 5000, _ION),
    number("sulfate", "Sulfate", "mg/L", 0, 5000, _ION),
    number("bicarbonate", "Bicarbonate", "mg/L", 0, 2000, _ION),
    number("ph", "pH", "", 3, 12, "6.5 to 9.5 for drinking water, Directive (EU) 2020/2184 (memory)"),
)

PACKAGING = named(
    number("nominal_volume", "Nominal volume", "mL", 0, 200_000, _PACKAGING),
    number("weight", "Weight of one", "g", 0, 50_000, _PACKAGING),
    number("height", "Height", "mm", 0, 3000, _PACKAGING),
    number("diameter", "Diameter", "mm", 0, 3000, _PACKAGING),
    number("pressure", "Internal pressure borne", "bar", 0, 100, _PACKAGING),
    number("migration", "Overall migration", "mg/dm²", 0, 1000, "Regulation (EU) 10/2011, article 12 (memory)"),
    choice(
        "food_contact",
        "Fit for contact with food",
        "declared",
        "not declared",
        source="Regulation (EC) 1935/2004, article 16 (memory)",
    ),
)

_TASTE = "tasted by a panel as in EBC Analytica section 13 (memory); the two words are common practice, no source"

PACKAGED = named(
    number("alcohol", "Alcohol by volume", "% vol", 0, 30, f"{_BEER}2 to 12 % vol (memory); EBC 9.2, by distillation"),
    number("original_extract", "Original extract", "°P", 0, 40, f"{_BEER}7 to 25 °P (memory); EBC 9.4, by Balling"),
    number("co2", "Carbon dioxide", "g/L", 0, 15, f"{_BEER}2 g/L in casks to 8 g/L in bottled wheat beer (memory)"),
    number(
        "total_oxygen",
        "Total oxygen in package",
        "ppb",
        0,
        20_000,
        f"{_BEER}10 to 200 ppb",
    ),
    number("spoilers", "Beer-spoiling organisms", "CFU/100 mL", 0, 100_000_000, "membrane filtration (memory)"),
    choice("taste", "Taste panel", "passed", "failed", fails=("failed",), source=_TASTE),
)

BEER = named(
    *(PACKAGED[key] for key in ("alcohol", "original_extract")),
    *(READINGS[key] for key in ("ph", "co2", "oxygen", "diacetyl")),
)
"""Of beer in tanks, by the units in which it is read there."""

ANALYSES: Mapping[str, Mapping[str, Property]] = MappingProxyType(
    {
        "malt": MALT,
        "hop": HOP,
        "yeast": YEAST,
        "water": WATER,
        "packaging": PACKAGING,
        "beer": BEER,
        "packaged": PACKAGED,
    }
)
