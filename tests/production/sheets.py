"""A brew sheet for tests: all that one can say, a short way to change one thing of it, and the steps of its life."""

from typing import Any

from brewery.production.models import BrewSheet
from brewery.production.queries.sheet_contents import (
    CellarLine,
    GrainLine,
    HopLine,
    IonTarget,
    MashLine,
    SaltLine,
    SheetContent,
    content_of,
)
from brewery.production.queries.sheets import sheets_in_full
from brewery.production.services.sheets import change_sheet, put_sheet_in_use, write_sheet
from inventory.models import Material
from tests.brewhouse import Brewhouse, micro

DECOCTION = (
    MashLine("mash_tun", "mash_in", 62_000, 10),
    MashLine("mash_tun", "rest", 63_000, 30),
    MashLine("mash_kettle", "draw_off", 63_000, 5, share_ppm=330_000),
    MashLine("mash_kettle", "rest", 72_000, 15),
    MashLine("mash_kettle", "boil", 99_000, 15),
    MashLine("mash_tun", "put_back", 72_000, 10),
    MashLine("mash_tun", "rest", 72_000, 20),
    MashLine("mash_tun", "mash_out", 77_000, 5),
    MashLine("lauter_tun", "sparge", 78_000, 90),
)


def water(code: str = "WATER") -> Material:
    """Return the town's water, as a material."""
    made, _ = Material.objects.get_or_create(
        code=code, defaults={"name": "Town water", "kind": "water", "base_unit": "L"}
    )
    return made


def content(house: Brewhouse, **said: Any) -> SheetContent:
    """Return a whole sheet of a pale lager of 30 hL, with `said` in place of what it says otherwise."""
    full: dict[str, Any] = {
        "cold_wort_micro": micro("30 hL"),
        "original_gravity_milli_p": 12_000,
        "final_gravity_milli_p": 2_500,
        "bitterness_milli_bu": 26_000,
        "colour_milli_ebc": 8_000,
        "yield_ppm": 750_000,
        "boil_minutes": 70,
        "evaporation_ppm": 60_000,
        "liquor": water(),
        "mash_liquor_micro": micro("20 hL"),
        "sparge_liquor_micro": micro("18 hL"),
        "yeast": house.material("YEAST"),
        "pitch_cells": 1_250_000,
        "kraeusen_ppm": 100_000,
        "is_filtered": True,
        "note": "Vorlauf until it runs bright.",
        "formats": (house.material("KEG50"), house.material("BOTTLE500")),
        "grains": (
            GrainLine(house.material("PILS"), share_ppm=900_000),
            GrainLine(house.material("MUNICH"), share_ppm=100_000),
        ),
        "hops": (
            HopLine(house.material("SAAZ"), "boil", 60, alpha_micro=micro("250 g")),
            HopLine(house.material("CASCADE"), "whirlpool", 20, temperature_milli_c=85_000, weight_micro=micro("3 kg")),
        ),
        "salts": (SaltLine(house.material("GYPSUM"), "mash", micro("400 g")),),
        "ions": (IonTarget("calcium", 80_000), IonTarget("sulfate", 100_000)),
        "mash_steps": DECOCTION,
        "cellar_steps": (
            CellarLine("fermentation", 9_000, 8),
            CellarLine("diacetyl_rest", 14_000, 2),
            CellarLine("maturation", 0, 28),
        ),
    }
    return SheetContent(**{**full, **said})


def draft(house: Brewhouse, beer: str = "LAGER", **said: Any) -> BrewSheet:
    """Return a draft of the beer's next version."""
    return write_sheet(beer=house.material(beer), content=content(house, **said), **house.by("brewing"))


def in_use(house: Brewhouse, beer: str = "LAGER", **said: Any) -> BrewSheet:
    """Return a version of the beer that is in use."""
    sheet = draft(house, beer, **said)
    return put_sheet_in_use(sheet=sheet, revision=sheet.revision, **house.by("brewing"))


def change(house: Brewhouse, sheet: BrewSheet, revision: int = 1, **said: Any) -> BrewSheet:
    """The draft says something else."""
    return change_sheet(sheet=sheet, revision=revision, changes=said, **house.by("brewing"))


def fresh(sheet: BrewSheet) -> BrewSheet:
    """Return the sheet as it is now, with all that it says."""
    return sheets_in_full().get(pk=sheet.pk)


def content_of_fresh(sheet: BrewSheet) -> SheetContent:
    """Return what the sheet says now."""
    return content_of(fresh(sheet))
