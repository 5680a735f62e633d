"""Allergens: what the law of the European Union and of the United States wants named on what people drink.

European Union: Regulation (EU) 1169/2011, annex II, fourteen groups. United States: Food Allergen Labeling and Consumer
Protection Act of 2004 (eight) with sesame by the FASTER Act of 2021; the American list is given from memory. The local
code has the last word, and what a laboratory finds stands above what a record says.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

GLUTEN = "cereals containing gluten"


@dataclass(frozen=True, slots=True)
class Allergen:
    """One allergen as a material carries it: its name, and the group under which each law names it, if it does."""

    code: str
    label: str
    eu: str
    us: str = ""
    is_of_animal_origin: bool = False


_TABLE = (
    Allergen("wheat", "wheat (with spelt and khorasan)", GLUTEN, "wheat"),
    Allergen("rye", "rye", GLUTEN),
    Allergen("barley", "barley", GLUTEN),
    Allergen("oats", "oats", GLUTEN),
    Allergen("crustaceans", "crustaceans", "crustaceans", "crustacean shellfish", True),
    Allergen("eggs", "eggs", "eggs", "eggs", True),
    Allergen("fish", "fish", "fish", "fish", True),
    Allergen("peanuts", "peanuts", "peanuts", "peanuts"),
    Allergen("soybeans", "soybeans", "soybeans", "soybeans"),
    Allergen("milk", "milk (with lactose)", "milk", "milk", True),
    Allergen("nuts", "nuts", "nuts", "tree nuts"),
    Allergen("celery", "celery", "celery"),
    Allergen("mustard", "mustard", "mustard"),
    Allergen("sesame", "sesame", "sesame", "sesame"),
    Allergen("sulphites", "sulphur dioxide and sulphites", "sulphur dioxide and sulphites"),
    Allergen("lupin", "lupin", "lupin"),
    Allergen("molluscs", "molluscs", "molluscs", "", True),
)
ALLERGENS: Mapping[str, Allergen] = MappingProxyType({one.code: one for one in _TABLE})

EXEMPT_IN_EU: Mapping[str, str] = MappingProxyType(
    {
        "fish": "isinglass or fish gelatine used as fining agent in beer",
        "barley": "glucose syrup based on barley",
        "wheat": "glucose syrup based on wheat, dextrose with it",
    }
)
"""Where annex II itself takes an allergen back, and for what; the syrups of wheat are given from memory."""

SULPHITES_MOST_MG_L = 10
"""Annex II names sulphites above 10 mg/kg or 10 mg/L as total SO2, ready to drink; exactly 10 is not above."""

CAUTION = (
    "By what the record says of the materials, and no more. Cross-contact that nobody recorded is not in it; sulphites "
    f"count above {SULPHITES_MOST_MG_L} mg/L in what is drunk, which has to be measured; a nut or a cereal is named by "
    "its own name. Check with the local code and with a laboratory before anything goes on a label."
)


@dataclass(frozen=True, slots=True)
class Claim:
    """Something that may be said of a drink, and what in its make-up contradicts it.

    `unless_borne`: allergens that a raw material may carry and yet be sold under the claim by its own supplier.
    """

    code: str
    label: str
    against: frozenset[str]
    source: str
    unless_borne: frozenset[str] = frozenset()
    against_animal_origin: bool = False
    animal_origin_may_be_borne: bool = False


def _of_animals(*but: str) -> frozenset[str]:
    return frozenset(one.code for one in _TABLE if one.is_of_animal_origin) - set(but)


_CLAIMS = (
    Claim(
        "gluten_free",
        "gluten-free",
        frozenset(one.code for one in _TABLE if one.eu == GLUTEN),
        "Regulation (EU) 828/2014: at most 20 mg/kg gluten in what is sold; oats that are grown and milled apart",
        unless_borne=frozenset({"oats"}),
    ),
    Claim("milk_free", "free of milk", frozenset({"milk"}), "common practice, no source"),
    Claim("vegan", "vegan", _of_animals(), "common practice, no source", against_animal_origin=True),
    Claim(
        "vegetarian",
        "vegetarian",
        _of_animals("milk", "eggs"),
        "common practice, no source: honey yes, gelatine no, as the supplier says",
        against_animal_origin=True,
        animal_origin_may_be_borne=True,
    ),
)
CLAIMS: Mapping[str, Claim] = MappingProxyType({one.code: one for one in _CLAIMS})


@dataclass(frozen=True, slots=True)
class Traits:
    """What of a material counts for allergens and claims. `bears`: the claims that its own supplier makes for it."""

    allergens: frozenset[str]
    exempt_in_eu: frozenset[str] = frozenset()
    is_of_animal_origin: bool = False
    bears: frozenset[str] = frozenset()


def contradictions(claim: Claim, traits: Traits) -> list[str]:
    """Return what of a material contradicts the claim, in words; nothing where it may be in what bears the claim.

    What annex II takes back for being refined does not count against being gluten-free.
    """
    is_borne = claim.code in traits.bears
    excused = claim.unless_borne if is_borne else frozenset()
    if claim.code == "gluten_free":
        excused |= traits.exempt_in_eu
    found = [ALLERGENS[code].label for code in _in_order(traits.allergens & claim.against - excused)]
    if found or not (claim.against_animal_origin and traits.is_of_animal_origin):
        return found
    return [] if is_borne and claim.animal_origin_may_be_borne else ["something of animal origin"]


def named_in_eu(codes: Iterable[str]) -> list[str]:
    """Return the groups of annex II that the allergens belong to, each once, in the order of the annex."""
    return list(dict.fromkeys(ALLERGENS[code].eu for code in _in_order(codes)))


def named_in_us(codes: Iterable[str]) -> list[str]:
    """Return the American groups that the allergens belong to, each once."""
    return list(dict.fromkeys(ALLERGENS[code].us for code in _in_order(codes) if ALLERGENS[code].us))


def _in_order(codes: Iterable[str]) -> list[str]:
    wanted = set(codes)
    return [code for code in ALLERGENS if code in wanted]
