"""Process: what is usual in mash, boil, cellar and log. Outside of it a log is to be looked at again, never refused."""

from brewery.science.bands import Band

_REST = "hobbybrauer-kompendium.de and gastro-brennecke.de, Rasten"
_OXFORD = "Oxford Companion to Beer, evaporation rate"
_NARZISS = "Narziss, Abriss der Bierbrauerei, as summarised on aussiehomebrewer.com"
_PALMER = "howtobrew.com, lager"
_PRACTICE = "common practice, no source"
_DRY_HOPS = "biralleebrewing.com, dry hopping"

PROTEIN_REST_C = Band("A protein rest", 45, 55, "°C", _REST)
MALTOSE_REST_C = Band("A maltose rest", 62, 65, "°C", _REST)
SACCHARIFICATION_C = Band("A saccharification rest", 70, 75, "°C", _REST)
MASH_OFF_C = Band("Mash-off", 76, 78, "°C", _REST)
PROTEIN_REST_MIN = Band("A protein rest", 15, 60, "min", "angelfire.com and storchen-braeu.de, mash")
MALTOSE_REST_MIN = Band("A maltose rest", 20, 90, "min", _REST)
SACCHARIFICATION_MIN = Band("A saccharification rest", 15, 30, "min", _REST)
DECOCTION_BOIL_MIN = Band("The boil of a decoction", 15, 30, "min", "storchen-braeu.de, mash")
WORT_OXYGEN_MG_L = Band("Oxygen of the wort at pitching", 8, 10, "mg/L", _NARZISS)
LAGER_PITCHING_C = Band("Pitching a lager", 5, 12, "°C", _NARZISS)
HIGH_KRAEUSEN_DAY = Band("High kraeusen on day", 3, 5, "", _NARZISS)
ALE_PRIMARY_DAYS = Band("Primary fermentation of an ale", 2, 5, "d", _PALMER)
LAGER_PRIMARY_DAYS = Band("Primary fermentation of a lager", 7, 21, "d", _PALMER)
LAGERING_C = Band("Lagering", -1, 3, "°C", "from memory")
PALE_ALE_DRY_HOPS_G_L = Band("Dry hops of a pale ale", 2, 4, "g/L", _DRY_HOPS)
IPA_DRY_HOPS_G_L = Band("Dry hops of an India pale ale", 6, 8, "g/L", _DRY_HOPS)
DOUBLE_IPA_DRY_HOPS_G_L = Band("Dry hops of a double India pale ale", 8, 10, "g/L", _DRY_HOPS)
MODERN_EVAPORATION_PCT = Band("Evaporation of a modern boil", 6, 8, "%", _OXFORD)
FORMER_EVAPORATION_PCT = Band("Evaporation of a boil of 90 minutes", 10, 15, "%", _OXFORD)

HOP_STORE_C = Band("The store of hops", -20, 4, "°C", "beer-brewing.com, hop stability: 0 to 2 °C; colder keeps better")
YEAST_STORE_C = Band("The store of yeast", 1, 4, "°C", "Quain, Best practice, ebrary.net 83061; murphyandson.co.uk")
YEAST_STORE_DAYS = Band("Storage of yeast", 0, 4, "d", "Quain, Best practice, ebrary.net 83061: better less than 2")
KIESELGUHR_G_HL = Band("Kieselguhr", 70, 200, "g/hL", "geekice.com, filters")
SILICA_GEL_G_HL = Band("Silica gel", 30, 100, "g/hL", "stabifix.com; with PVPP in it no more than 50")
ISINGLASS_ML_L = Band("Isinglass solution", 8, 20, "mL/L", "docslib.org 7949179, finings")
CARRAGEENAN_G_HL = Band("Kettle finings", 1, 8, "g/hL", "from memory; optimise by trial")

MASH_REST_C = Band("A mash rest", 35, 79, "°C", _PRACTICE)
BOIL_MIN = Band("The boil", 45, 120, "min", _PRACTICE)
EVAPORATION_PCT = Band("Evaporation", 2, 15, "%", _PRACTICE)
WHIRLPOOL_MIN = Band("The whirlpool", 10, 45, "min", _PRACTICE)
PITCHING_C = Band("Pitching", 4, 24, "°C", _PRACTICE)
APPARENT_ATTENUATION_PCT = Band("Apparent attenuation", 60, 90, "%", _PRACTICE)
BREWHOUSE_YIELD_PCT = Band("A brewhouse yield of malt as received", 60, 85, "%", _PRACTICE)
"""The last seven are wide: for a log, where only a slip of the pen should fall outside."""

EXTRACT_RISE_PLATO = 0.3
"""By how much one reading may be above the one before it, without a booked addition (common practice, no source)."""


def extract_rise_doubt(earlier_plato: float, later_plato: float) -> str:
    """Return why a reading of extract in a fermentation is doubtful, or nothing: it does not rise by itself."""
    if later_plato - earlier_plato <= EXTRACT_RISE_PLATO + 1e-9:
        return ""
    return (
        f"Extract rose from {earlier_plato:g} to {later_plato:g} °P and nothing was added by the record. Look up the "
        "reading, or book what was added."
    )
