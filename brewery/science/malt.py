"""Malt: what certificates of pale base malt usually say, how long malt keeps, and its usual share of a grist.

To propose from and to compare with; what a brewery asks for is set per material. Roasted malts have no enzymes and none
of these limits (TGL 17756, 1966).
"""

from math import inf

from brewery.science.bands import Band

PALE_MALT = (
    Band("Moisture", 3.5, 5, "%", "probrewer.com, malt"),
    Band("Extract, fine grind, dry basis", 80, 83, "%", "MBAA, Unraveling the Malt Puzzle; e-malt.com"),
    Band("Protein", 9, 12, "%", "montana.edu"),
    Band("Kolbach index", 36, 42, "%", "TGL 17756, 1966"),
    Band("Friability", 80, 100, "%", "homebrewersassociation.org 22810; 85 for infusion mashing, mfrbee.com"),
    Band("Diastatic power", 200, inf, "WK", "TGL 17756, 1966"),
    Band("Plump kernels", 90, 100, "%", "montana.edu"),
    Band("Beta-glucan of the wort", 0, 180, "mg/L", "homebrewersassociation.org 22810"),
    Band("Free amino nitrogen", 150, inf, "mg/L", "mfrbee.com"),
    Band("Colour of the wort", 2.5, 4.5, "EBC", "mfrbee.com"),
    Band("Saccharification", 10, 15, "min", "TGL 17756, 1966; mfrbee.com"),
)

WHOLE_MALT_MONTHS = Band("Age of whole malt", 0, 12, "months", "brewingwithbriess.com, stored properly")
DIASTATIC_MALT_MONTHS = Band("Age of diastatic malt", 0, 6, "months", "brewingwithbriess.com")
CARAMEL_MALT_MONTHS = Band("Age of caramel and dark malt", 0, 3, "months", "probrewer.com, malt storage")
ROASTED_MALT_MONTHS = Band("Age of roasted malt", 0, 18, "months", "brewingwithbriess.com")
MILLED_MALT_MONTHS = Band("Age of milled malt", 0, 6, "months", "brewingwithbriess.com; breweries mill on the day")
MALT_STORE_C = Band("The store of malt", -40, 32, "°C", "brewingwithbriess.com")

_SHARES = "dpwigley.com, grain profiles"
BASE_MALT_SHARE = Band("A share of base malt", 50, 100, "%", "forum.northernbrewer.com 18166, common practice")
LIGHT_CARAMEL_SHARE = Band("A share of light caramel malt", 0, 20, "%", _SHARES)
DARK_CARAMEL_SHARE = Band("A share of dark caramel malt", 0, 15, "%", _SHARES)
ROASTED_SHARE = Band("A share of roasted malt", 0, 15, "%", _SHARES)
AMBER_SHARE = Band("A share of amber malt", 0, 20, "%", _SHARES)
FLAKED_MAIZE_SHARE = Band("A share of flaked maize", 0, 10, "%", _SHARES)
FLAKED_WHEAT_SHARE = Band("A share of flaked wheat", 0, 50, "%", _SHARES)
FLAKED_BARLEY_SHARE = Band("A share of flaked barley", 0, 10, "%", _SHARES)
"""Common practice, no limits: the enzymes of the whole grist are the only hard one."""
