"""What a sheet is expected to give: by the lots that are here and their certificates, each figure with its reason."""

import math
from datetime import timedelta
from typing import Any

import pytest

from brewery.production.queries.hop_doses import HopDose, doses_of
from brewery.production.queries.sheet_contents import CellarLine, GrainLine, HopLine, IonTarget, MashLine, SaltLine
from brewery.production.queries.sheet_doubts import doubts_of
from brewery.production.queries.sheet_figures import Prediction
from brewery.production.queries.sheet_predictions import predictions_of
from brewery.production.queries.sheet_stock import stock_for
from inventory.models import Location, Material
from tests.brewhouse import START, Brewhouse, micro
from tests.inventory.laboratory import Laboratory
from tests.production.sheets import DECOCTION, content, water
from tests.standing import built_once

DAY = START.date()


@built_once
def lab(brewhouse: Brewhouse) -> Laboratory:
    """The stores are full, and every lot of malt and hops has its certificate."""
    brewhouse.stock_up()
    brewhouse.deliver("MUNICH", "M2", "500 kg")
    brewhouse.decide("M2", "released", hours=1)
    laboratory = Laboratory(brewhouse)
    laboratory.enter("M1", number="C1", values={"moisture": "4.2", "extract_fine_dry": "81.5", "colour": "3.5"})
    laboratory.enter("M2", number="C2", values={"extract_fine_as_is": "77", "colour": "20"})
    laboratory.enter("H1", number="C3", values={"alpha": "3.4"})
    laboratory.enter("H2", number="C4", values={"alpha": "6"})
    return laboratory


def predicted(house: Brewhouse, **said: Any) -> dict[str, Prediction]:
    sheet = content(house, **said)
    return {told.key: told for told in predictions_of(sheet, stock_for(sheet, DAY))}


def doses(house: Brewhouse, *hops: HopLine) -> list[HopDose]:
    return doses_of(hops, stock_for(content(house, hops=hops), DAY))


def doubts(house: Brewhouse, **said: Any) -> list[tuple[str, str]]:
    sheet = content(house, **said)
    stock = stock_for(sheet, DAY)
    return [(doubt.field, doubt.words) for doubt in doubts_of(sheet, stock, predictions_of(sheet, stock))]


def about(told: list[tuple[str, str]], field: str) -> str:
    return " ".join(words for about, words in told if about == field)


def water_is(lab: Laboratory, **values: str) -> None:
    """A sample of the town's water was analysed."""
    water()
    lab.house.deliver("WATER", "W0", "1 L")
    lab.enter("W0", number="W-1", values=values)


# Hops


def test_hops_by_alpha_weigh_what_the_lot_of_today_needs(lab: Laboratory):
    saaz = lab.house.material("SAAZ")
    (dose,) = doses(lab.house, HopLine(saaz, "boil", 60, alpha_micro=micro("250 g")))
    assert dose.weight_micro == round(250_000 * 100 / 3.4)
    assert dose.missing_micro == 0
    assert dose.reason.startswith("250.0 g alpha acids. 7.353 kg of lot H1 (3.4 % by certificate C3 of 2026-03-02;")


def test_hops_that_lay_warm_for_120_days_weigh_more_by_what_the_model_says_and_the_sheet_shows_why(lab: Laboratory):
    """Saaz keeps 51 % for 180 days at 20 °C in the open (USDA-ARS accession 21077), first order (Garetz)."""
    Location.objects.filter(code="STORE").update(nominal_milli_c=20_000)
    line = HopLine(lab.house.material("SAAZ"), "boil", 60, alpha_micro=micro("250 g"))
    sheet = content(lab.house, hops=(line,))
    fresh_lot, old_lot = (doses_of([line], stock_for(sheet, DAY + timedelta(days=days)))[0] for days in (0, 120))
    assert fresh_lot.weight_micro is not None
    assert old_lot.weight_micro is not None
    rate = -math.log(0.51) / 180
    assert old_lot.weight_micro / fresh_lot.weight_micro == pytest.approx(math.exp(rate * 120), rel=1e-3)
    assert "120 days in store, as 120 at 20 °C in the open: factor 0.638" in old_lot.reason
    told = {one.key: one for one in predictions_of(sheet, stock_for(sheet, DAY + timedelta(days=120)))}
    assert "250.0 g alpha" in told["bitterness"].reason


def test_two_additions_of_one_hop_share_its_lots(lab: Laboratory):
    """20 kg of H1 at 3.4 % hold 680 g of alpha; the second addition takes what is left and then the weaker lot."""
    lab.house.deliver("SAAZ", "H3", "20 kg", supplier="HOPYARD", hours=1)
    lab.enter("H3", number="C5", values={"alpha": "2"})
    line = HopLine(lab.house.material("SAAZ"), "boil", 60, alpha_micro=micro("500 g"))
    first, second = doses(lab.house, line, line)
    assert [(part.lot.code, part.weight_micro) for part in first.parts] == [("H1", round(500_000 * 100 / 3.4))]
    left = micro("20 kg") - first.parts[0].weight_micro
    rest = 500_000 - round(left * 0.034)
    assert [(part.lot.code, part.weight_micro) for part in second.parts] == [("H1", left), ("H3", rest * 50)]


def test_alpha_that_no_lot_covers_is_told_and_weighed_as_the_last_lot_would_be(lab: Laboratory):
    (dose,) = doses(lab.house, HopLine(lab.house.material("SAAZ"), "boil", 60, alpha_micro=micro("1 kg")))
    assert dose.missing_micro == micro("320 g")
    assert dose.weight_micro == micro("20 kg") + round(320_000 * 100 / 3.4)
    assert "For 320.0 g alpha no lot is left." in dose.reason


def test_hops_without_a_certified_lot_have_no_weight_and_say_why(brewhouse: Brewhouse):
    brewhouse.stock_up()
    saaz = brewhouse.material("SAAZ")
    by_alpha, by_weight = doses(
        brewhouse, HopLine(saaz, "boil", 60, alpha_micro=1), HopLine(saaz, "boil", 60, weight_micro=micro("25 kg"))
    )
    assert (by_alpha.weight_micro, by_alpha.missing_micro) == (None, 1)
    assert "No lot of Saaz can be taken whose alpha acids are certified." in by_alpha.reason
    assert (by_weight.weight_micro, by_weight.missing_micro) == (micro("25 kg"), micro("5 kg"))
    assert by_weight.reason == "Weighed as the sheet says. 20.000 kg of lot H1 (alpha not certified)."


def test_lots_that_may_not_be_taken_are_not_counted_on(lab: Laboratory):
    lab.house.decide("H1", "on_hold", hours=2)
    (dose,) = doses(lab.house, HopLine(lab.house.material("SAAZ"), "boil", 60, alpha_micro=1))
    assert dose.weight_micro is None


# Figures


def test_bitterness_is_what_the_table_makes_of_the_alpha_that_is_boiled(lab: Laboratory):
    """Tinseth's equation (realbeer.com) at the mean extract of the boil; gravity by 1 + P/(258.6 - 0.87955 P)."""
    hop = HopLine(lab.house.material("SAAZ"), "boil", 60, alpha_micro=micro("250 g"))
    told = predicted(lab.house, hops=(hop,))["bitterness"]
    plato = 12 * (1 - 0.06 / 2)
    gravity = 1 + plato / (258.6 - 0.87955 * plato)
    utilisation = 1.65 * 0.000125 ** (gravity - 1) * (1 - math.exp(-0.04 * 60)) / 4.15
    assert told.value == pytest.approx(250 * utilisation * 10 / 30, rel=1e-4)
    assert told.low is not None
    assert told.high is not None
    assert told.low < told.value * 0.82
    assert told.high > told.value * 1.18
    assert "Saaz, boil 60 min: 250.0 g alpha × 0.2" in told.reason
    assert told.target == 26


def test_hops_in_the_cold_bring_no_bitterness_and_a_warmer_whirlpool_more(lab: Laboratory):
    saaz = lab.house.material("SAAZ")

    def bitter(stage: str, minutes: int, milli_c: int | None = None) -> float:
        hop = HopLine(saaz, stage, minutes, milli_c, weight_micro=micro("5 kg"))
        value = predicted(lab.house, hops=(hop,))["bitterness"].value
        assert value is not None
        return value

    assert bitter("cold", 4_320, 2_000) == 0
    assert 0 < bitter("whirlpool", 20, 80_000) < bitter("whirlpool", 20, 90_000) < bitter("boil", 20)


def test_bitterness_needs_the_alpha_of_what_is_only_weighed(brewhouse: Brewhouse):
    brewhouse.stock_up()
    hop = HopLine(brewhouse.material("CASCADE"), "boil", 20, weight_micro=micro("3 kg"))
    told = predicted(brewhouse, hops=(hop,))["bitterness"]
    assert (told.value, told.reason) == (None, "No certificate tells the alpha acids of Cascade.")
    by_alpha = HopLine(brewhouse.material("CASCADE"), "boil", 20, alpha_micro=micro("100 g"))
    assert predicted(brewhouse, hops=(by_alpha,))["bitterness"].value == pytest.approx(4.79, abs=0.1)


def test_gravity_is_that_of_the_sheet_with_malt_as_it_usually_is(lab: Laboratory):
    told = predicted(lab.house)["original_gravity"]
    assert told.value == pytest.approx(12, abs=1e-6)
    assert "times 1.0000 for the extract of the lots that are here" in told.reason


def test_malt_with_less_extract_gives_thinner_wort(lab: Laboratory):
    """A lot two points poorer than the one before: the mean of both is usual, and the poorer lies there alone."""
    lab.house.deliver("PILS", "M3", "2000 kg", "SILO2", hours=2)
    lab.enter("M3", number="C6", values={"extract_fine_as_is": "76.077", "colour": "3.5"})
    lab.house.destroy("M1", "SILO1", "1000 kg", hours=3)
    grain = (GrainLine(lab.house.material("PILS"), weight_micro=micro("502.3 kg")),)
    told = predicted(lab.house, grains=grain)
    assert told["extract"].value == pytest.approx(76.077, abs=1e-3)
    assert "Usually these malts hold 77.08 %" in told["extract"].reason
    won_kg_hl = 502.3 * 0.75 * 76.077 / 77.077 / 30
    assert told["original_gravity"].value == pytest.approx(12 - (12.558 - won_kg_hl) / 1.088, abs=0.01)


def test_moisture_takes_the_extract_as_it_is_from_that_of_the_dry_malt(lab: Laboratory):
    """81.5 % dry basis at 4.2 % moisture is 78.077 % as-is (jimsbeerkit.co.uk, calculated)."""
    grain = (GrainLine(lab.house.material("PILS"), share_ppm=1_000_000),)
    told = predicted(lab.house, grains=grain)["extract"]
    assert told.value == pytest.approx(78.077, abs=1e-3)
    assert "certificate C1: 81.5 % dry basis at 4.2 % moisture" in told.reason


def test_colour_comes_from_the_certificates_or_says_whose_is_missing(lab: Laboratory):
    told = predicted(lab.house)["colour"]
    assert told.value is not None
    assert 6 < told.value < 12
    crystal = Material.objects.create(code="CRYSTAL", name="Crystal malt", kind="malt", base_unit="kg")
    bad = predicted(lab.house, grains=(GrainLine(crystal, share_ppm=1_000_000),))
    assert bad["colour"].reason == "No certificate tells the colour of Crystal malt."
    assert bad["extract"].value is None


def test_ions_are_those_of_the_water_and_its_salts_by_their_hydrate(lab: Laboratory):
    """Gypsum brings Ca 232.8 and SO4 557.9 mg/L for each g/L: atomic masses, as mainbrew.com prints by the gallon."""
    water_is(lab, calcium="40", sulfate="20", chloride="15")
    told = predicted(lab.house)
    assert told["ion_calcium"].value == pytest.approx(40 + 232.8 * 400 / 3_800, abs=0.05)
    assert told["ion_sulfate"].value == pytest.approx(20 + 557.9 * 400 / 3_800, abs=0.05)
    assert told["ion_chloride"].value == 15
    assert told["ion_calcium"].target == 80
    into_kettle = (SaltLine(lab.house.material("GYPSUM"), "kettle", micro("400 g")),)
    assert predicted(lab.house, salts=into_kettle)["ion_calcium"].value == 40


def test_what_a_salt_is_set_up_as_counts_before_its_name(lab: Laboratory):
    """Anhydrous calcium sulfate brings Ca 294.4 mg/L for each g/L: 40.078 of 136.14, atomic masses of IUPAC."""
    water_is(lab, calcium="40")
    Material.objects.filter(code="GYPSUM").update(salt="CaSO4")
    assert predicted(lab.house)["ion_calcium"].value == pytest.approx(40 + 294.4 * 400 / 3_800, abs=0.05)


def test_ions_that_cannot_be_told_say_why(lab: Laboratory):
    def why(**said: Any) -> str:
        return predicted(lab.house, **said)["ion_calcium"].reason

    assert why(liquor=None) == "Say which water it is, and how much of it is mashed and sparged with."
    assert why() == "No certificate of Town water states its ions."
    water_is(lab, calcium="40")
    odd = Material.objects.create(code="CC", name="Calcium chloride", kind="salt", base_unit="kg")
    assert "Say in the settings of Calcium chloride which salt it is" in why(salts=(SaltLine(odd, "mash", 1),))
    Material.objects.filter(pk=odd.pk).update(salt="CaCl2")
    told = Material.objects.get(pk=odd.pk)
    assert "1000 g calcium chloride, anhydrous" in why(salts=(SaltLine(told, "mash", micro("1 kg")),))
    lime = Material.objects.create(code="LIME", name="Slaked lime", kind="salt", base_unit="kg")
    assert why(salts=(SaltLine(lime, "mash", 1),)) == "What slaked lime does depends on mash and gas."


def test_alcohol_attenuation_yeast_and_kettle_follow_the_sheet(lab: Laboratory):
    """12 to 2.5 °P: 5.127 % vol, 79.17 % apparent (Balling); 1.25 million x 12 °P x 30 hL; 30 / 0.96 hL boiling."""
    told = predicted(lab.house)
    assert told["alcohol"].value == pytest.approx(5.127, abs=0.01)
    assert told["attenuation"].value == pytest.approx(79.17, abs=0.01)
    assert told["cells"].value == pytest.approx(1.25e6 * 12 * 30e5 / 1e12)
    assert told["kettle_full"].value == pytest.approx(30 / 0.96 / 0.94)
    assert predicted(lab.house, pitch_cells=None)["cells"].value is None


def test_a_formula_that_was_not_made_for_a_figure_says_so_and_the_others_are_told(lab: Laboratory):
    told = predicted(lab.house, pitch_cells=50_000_000)
    assert told["cells"].value is None
    assert "million_per_ml_plato: 50.0 is not valid." in told["cells"].reason
    assert told["alcohol"].value is not None


def test_a_bare_sheet_tells_what_it_can(lab: Laboratory):
    told = predicted(lab.house, grains=(), hops=(), salts=(), ions=(), liquor=None)
    assert {key for key, one in told.items() if one.value is None} == {
        "grist",
        "extract",
        "original_gravity",
        "colour",
    }
    assert told["bitterness"].value == 0


# Doubts


def test_a_usual_sheet_raises_no_doubt_about_mash_grain_or_yeast(lab: Laboratory):
    fields = {field for field, _ in doubts(lab.house)}
    assert not {field for field in fields if field.startswith(("mash", "grain", "yeast", "pitch", "cellar", "boil"))}


def test_base_malt_below_half_of_the_grain_is_a_warning_and_no_refusal(lab: Laboratory):
    """50 to 100 % base malt: common practice. A dark malt is none."""
    house = lab.house
    house.deliver("MUNICH", "M4", "500 kg", hours=2)
    lab.enter("M2", number="C7", role="quality", values={"colour": "100"})
    grains = (
        GrainLine(house.material("PILS"), share_ppm=400_000),
        GrainLine(house.material("MUNICH"), share_ppm=600_000),
    )
    assert "A share of base malt of 40 % is unusual: 50 to 100 %" in about(doubts(house, grains=grains), "grains")
    even = (
        GrainLine(house.material("PILS"), share_ppm=500_000),
        GrainLine(house.material("MUNICH"), share_ppm=500_000),
    )
    assert about(doubts(house, grains=even), "grains") == ""


def test_grain_nobody_knows_the_colour_of_may_be_base_malt(brewhouse: Brewhouse):
    brewhouse.stock_up()
    assert about(doubts(brewhouse), "grains") == ""


def test_what_lies_off_its_target_is_told(lab: Laboratory):
    told = doubts(
        lab.house,
        grains=(GrainLine(lab.house.material("PILS"), weight_micro=micro("400 kg")),),
        bitterness_milli_bu=60_000,
        colour_milli_ebc=40_000,
    )
    assert "the sheet wants 12 °P" in about(told, "original_gravity")
    assert "the sheet wants 60 BU" in about(told, "bitterness")
    assert "the sheet wants 40 EBC" in about(told, "colour")


def test_unusual_figures_are_told_with_their_source(lab: Laboratory):
    told = doubts(
        lab.house,
        yield_ppm=800_000,
        boil_minutes=30,
        hops=(HopLine(lab.house.material("CASCADE"), "whirlpool", 60, 85_000, weight_micro=1),),
        evaporation_ppm=200_000,
        pitch_cells=3_000_000,
        kraeusen_ppm=300_000,
        final_gravity_milli_p=6_000,
        ions=(IonTarget("calcium", 10_000),),
        cellar_steps=(CellarLine("fermentation", 30_000, 5), CellarLine("maturation", 12_000, 5)),
    )
    fields = {
        "yield_pct",
        "boil_minutes",
        "hops[0]",
        "evaporation_pct",
        "pitch_cells",
        "kraeusen_pct",
        "final_gravity_p",
        "ions",
        "cellar_steps[0]",
        "cellar_steps[1]",
    }
    assert {field for field, _ in told} >= fields
    assert "more than the grain holds" in about(told, "yield_pct")
    assert "Fix, as quoted" in about(told, "pitch_cells")


def test_unusual_mashes_are_told_at_their_step(lab: Laboratory):
    hot = (MashLine("mash_tun", "mash_in", 45_000, 5), MashLine("mash_tun", "rest", 82_000, 30))
    assert "A mash rest of 82 °C is unusual" in about(doubts(lab.house, mash_steps=hot), "mash_steps[1]")
    long = (*DECOCTION[:1], MashLine("mash_tun", "rest", 63_000, 5), MashLine("mash_tun", "mash_out", 80_000, 5))
    told = doubts(lab.house, mash_steps=long)
    assert "A maltose rest of 5 min is unusual" in about(told, "mash_steps[1]")
    assert "Mash-off of 80 °C is unusual" in about(told, "mash_steps[2]")


def test_a_decoction_that_cannot_reach_its_temperature_is_told(lab: Laboratory):
    """A tenth at 99 °C put to nine tenths at 63 °C mixes to 66.6 °C (physics), and not to 76 °C."""
    small = list(DECOCTION)
    small[2] = MashLine("mash_kettle", "draw_off", 63_000, 5, share_ppm=100_000)
    small[4] = MashLine("mash_kettle", "boil", 99_000, 60)
    small[5] = MashLine("mash_tun", "put_back", 76_000, 10)
    told = doubts(lab.house, mash_steps=tuple(small))
    assert "gives about 67 °C; the sheet says 76 °C" in about(told, "mash_steps[5]")
    assert "The boil of a decoction of 60 min is unusual" in about(told, "mash_steps[4]")
