"""Two sheets side by side: what was added, removed and changed, field by field."""

from dataclasses import replace
from typing import Any

from brewery.production.queries.sheet_comparison import differences
from brewery.production.queries.sheet_contents import CellarLine, GrainLine, HopLine, IonTarget, MashLine, SheetContent
from tests.brewhouse import Brewhouse, micro
from tests.production.sheets import content


def told(house: Brewhouse, before: SheetContent, **said: Any) -> list[tuple[str, str, str, str, str]]:
    after = replace(before, **said)
    return [(one.part, one.change, one.about, one.before, one.after) for one in differences(before, after)]


def test_the_same_content_differs_in_nothing(brewhouse: Brewhouse):
    assert differences(content(brewhouse), content(brewhouse)) == []


def test_single_fields_are_told_in_words_before_and_after(brewhouse: Brewhouse):
    before = content(brewhouse)
    changes: dict[str, Any] = {
        "original_gravity_milli_p": 12_500,
        "bitterness_milli_bu": None,
        "cold_wort_micro": micro("32 hL"),
        "is_filtered": False,
        "pitch_cells": 1_000_000,
        "kraeusen_ppm": 0,
        "yeast": None,
        "boil_minutes": 60,
    }
    assert told(brewhouse, before, **changes) == [
        ("head", "changed", "Cold wort", "30 hL", "32 hL"),
        ("head", "changed", "Original gravity", "12 °P", "12.5 °P"),
        ("head", "changed", "Boil", "70 min", "60 min"),
        ("head", "removed", "Bitterness", "26 BU", ""),
        ("head", "removed", "Yeast", "Lager yeast", ""),
        (
            "head",
            "changed",
            "Pitching rate",
            "1.25 million cells for each mL and °P",
            "1 million cells for each mL and °P",
        ),
        ("head", "changed", "Kraeusen in the blend", "10 %", "0 %"),
        ("head", "changed", "Filtered", "yes", "no"),
    ]


def test_lines_are_paired_by_what_they_are_about(brewhouse: Brewhouse):
    before = content(brewhouse)
    pils, cascade = brewhouse.material("PILS"), brewhouse.material("CASCADE")
    grains = (GrainLine(pils, share_ppm=1_000_000),)
    hops = (before.hops[0], HopLine(cascade, "cold", 4_320, 2_000, weight_micro=micro("500 g")))
    steps = (*before.cellar_steps[:2], CellarLine("maturation", 1_000, 21))
    changed = told(
        brewhouse, before, grains=grains, hops=hops, cellar_steps=steps, ions=(IonTarget("calcium", 80_000),)
    )
    assert changed == [
        ("grains", "changed", "Pilsner malt", "90 %", "100 %"),
        ("grains", "removed", "Munich malt", "10 %", ""),
        ("hops", "removed", "Cascade, whirlpool", "3 kg, 20 min, 85 °C", ""),
        ("hops", "added", "Cascade, in the cold", "", "500 g, 3 d, 2 °C"),
        ("ions", "removed", "sulfate", "100 mg/L", ""),
        ("cellar_steps", "changed", "maturation", "0 °C, 28 d", "1 °C, 21 d"),
    ]


def test_an_inserted_mash_step_leaves_the_others_paired(brewhouse: Brewhouse):
    before = content(brewhouse)
    rest = MashLine("mash_tun", "rest", 52_000, 15)
    steps = (before.mash_steps[0], rest, *before.mash_steps[1:])
    assert told(brewhouse, before, mash_steps=steps) == [("mash_steps", "added", "rest", "", "52 °C, 15 min, mash tun")]


def test_salts_and_formats_are_told_too(brewhouse: Brewhouse):
    before = content(brewhouse)
    assert told(brewhouse, before, salts=(), formats=before.formats[:1]) == [
        ("formats", "removed", "Quillmere Lager, 0.5 L bottle", "Quillmere Lager, 0.5 L bottle", ""),
        ("salts", "removed", "Gypsum, mash liquor", "0.4 kg", ""),
    ]
