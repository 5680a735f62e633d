"""What the brewery buys: from whom, how much at a time, and when it is ordered again."""

from dataclasses import dataclass

from .quantities import EACH, KG, L


@dataclass(frozen=True)
class Supply:
    """One bought material. `packs` of `pack` are ordered when no more than `reorder_at` is there or on its way."""

    material: str
    kind: str
    unit: str
    supplier: str
    place: str
    pack: int
    packs: int
    reorder_at: int
    prefix: str
    lots: int = 1
    keeps_days: int = 0
    arrives: str = "released"


def _malt(material: str, supplier: str, sacks: int, reorder_kg: int, lots: int = 1) -> Supply:
    return Supply(
        material, "malt", "kg", supplier, "MALT", 25 * KG, sacks, reorder_kg * KG, "MA", lots, 365, "quarantined"
    )


def _hops(variety: str, supplier: str, box_kg: int, boxes: int, reorder_kg: int, lots: int = 1) -> Supply:
    material = f"{variety} hop pellets"
    return Supply(
        material, "hop", "kg", supplier, "HOPS", box_kg * KG, boxes, reorder_kg * KG, "HO", lots, 720, "quarantined"
    )


def _dry(
    material: str, kind: str, unit: str, supplier: str, pack: int, packs: int, reorder_at: int, prefix: str
) -> Supply:
    return Supply(material, kind, unit, supplier, "DRY", pack, packs, reorder_at, prefix, 1, 540)


def _packaging(
    material: str, supplier: str, pack: int, packs: int, reorder: int, lots: int = 1, arrives: str = "released"
) -> Supply:
    return Supply(
        material, "packaging", "each", supplier, "PACK", pack * EACH, packs, reorder * EACH, "PM", lots, 0, arrives
    )


SILO_MALTS = {"SILO1": ("Pilsner malt", "S01", "released"), "SILO2": ("Pale ale malt", "S02", "quarantined")}
LIQUOR = Supply("Brewing liquor", "water", "L", "S09", "LIQUOR", 100 * L, 0, 0, "WA")
CULTURES = {
    "Lager yeast Q1": "S07",
    "Wheat yeast Q3": "S07",
    "Ale yeast Q2": "S08",
    "Stout yeast Q4": "S08",
}
SUPPLIES = (
    _malt("Munich malt", "S01", 48, 900),
    _malt("Wheat malt", "S01", 64, 1100, lots=2),
    _malt("Caramel malt, light", "S03", 14, 200),
    _malt("Caramel malt, dark", "S03", 10, 150),
    _malt("Chocolate malt", "S03", 7, 100),
    _malt("Roasted barley", "S03", 9, 190),
    _malt("Acidulated malt", "S03", 10, 110),
    _malt("Dextrin malt", "S03", 10, 130),
    _hops("Magnum", "S04", 5, 10, 18),
    _hops("Tettnanger", "S04", 5, 12, 24, lots=2),
    _hops("Perle", "S04", 5, 4, 14),
    _hops("Hersbrucker", "S04", 5, 3, 9),
    _hops("Hallertau Mittelfrüh", "S04", 5, 2, 5),
    _hops("Saaz", "S05", 5, 10, 20),
    _hops("Northern Brewer", "S05", 5, 6, 16),
    _hops("Cascade", "S06", 20, 7, 85, lots=2),
    _hops("Centennial", "S06", 20, 5, 75),
    _hops("Chinook", "S06", 10, 2, 12),
    _hops("Fuggle", "S06", 10, 2, 11),
    Supply("Flaked oats", "adjunct", "kg", "S18", "MALT", 25 * KG, 14, 220 * KG, "AD", 1, 270, "quarantined"),
    _dry("Gypsum, calcium sulphate dihydrate", "salt", "kg", "S10", 25 * KG, 1, 15 * KG, "SL"),
    _dry("Calcium chloride dihydrate", "salt", "kg", "S10", 25 * KG, 2, 20 * KG, "SL"),
    _dry("Carrageenan kettle finings", "fining", "kg", "S11", 1 * KG, 4, 2 * KG, "FN"),
    _dry("Silica sol finings", "fining", "L", "S11", 25 * L, 2, 12 * L, "FN"),
    _dry("Kieselguhr, coarse", "filter_aid", "kg", "S12", 20 * KG, 4, 40 * KG, "FA"),
    _dry("Kieselguhr, fine", "filter_aid", "kg", "S12", 20 * KG, 4, 35 * KG, "FA"),
    _packaging("Bottle 0.33 L, brown", "S13", 2016, 18, 52000, lots=2, arrives="quarantined"),
    _packaging("Crown cork 26 mm, plain", "S14", 10000, 9, 52000, arrives="quarantined"),
    _packaging("Carton 24 x 0.33 L", "S15", 300, 12, 1900),
    _packaging("Bottle label, Quillmere Lager", "S16", 1000, 60, 40000),
    _packaging("Bottle label, Quillmere Pale Ale", "S16", 1000, 30, 22000),
    _packaging("Bottle label, Quillmere Wheat", "S16", 1000, 25, 17500),
    _packaging("Bottle label, Quillmere Hop Ale", "S16", 1000, 30, 22000),
    _packaging("Keg cap, tamper-evident", "S17", 500, 5, 800),
    _packaging("Keg label, blank", "S17", 1000, 3, 900),
)
