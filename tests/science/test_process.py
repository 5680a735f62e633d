"""Process: what a brew log may say without a doubt."""

import pytest

from brewery.science import process
from brewery.science.bands import Band

BANDS = {name: band for name, band in vars(process).items() if isinstance(band, Band)}


# Each figure as its source prints it; the source stands in the band.
@pytest.mark.parametrize(
    ("name", "least", "most", "source"),
    [
        ("PROTEIN_REST_C", 45, 55, "gastro-brennecke.de"),
        ("MALTOSE_REST_C", 62, 65, "hobbybrauer-kompendium.de"),
        ("SACCHARIFICATION_C", 70, 75, "hobbybrauer-kompendium.de"),
        ("MASH_OFF_C", 76, 78, "gastro-brennecke.de"),
        ("PROTEIN_REST_MIN", 15, 60, "angelfire.com"),
        ("MALTOSE_REST_MIN", 20, 90, "gastro-brennecke.de"),
        ("SACCHARIFICATION_MIN", 15, 30, "hobbybrauer-kompendium.de"),
        ("DECOCTION_BOIL_MIN", 15, 30, "storchen-braeu.de"),
        ("MODERN_EVAPORATION_PCT", 6, 8, "Oxford Companion to Beer"),
        ("FORMER_EVAPORATION_PCT", 10, 15, "Oxford Companion to Beer"),
        ("WORT_OXYGEN_MG_L", 8, 10, "Narziss"),
        ("LAGER_PITCHING_C", 5, 12, "Narziss"),
        ("HIGH_KRAEUSEN_DAY", 3, 5, "Narziss"),
        ("ALE_PRIMARY_DAYS", 2, 5, "howtobrew.com"),
        ("LAGER_PRIMARY_DAYS", 7, 21, "howtobrew.com"),
        ("LAGERING_C", -1, 3, "memory"),
        ("PALE_ALE_DRY_HOPS_G_L", 2, 4, "biralleebrewing.com"),
        ("IPA_DRY_HOPS_G_L", 6, 8, "biralleebrewing.com"),
        ("DOUBLE_IPA_DRY_HOPS_G_L", 8, 10, "biralleebrewing.com"),
        ("HOP_STORE_C", -20, 4, "beer-brewing.com"),
        ("YEAST_STORE_C", 1, 4, "Quain"),
        ("YEAST_STORE_DAYS", 0, 4, "Quain"),
        ("KIESELGUHR_G_HL", 70, 200, "geekice.com"),
        ("SILICA_GEL_G_HL", 30, 100, "stabifix.com"),
        ("ISINGLASS_ML_L", 8, 20, "docslib.org"),
        ("CARRAGEENAN_G_HL", 1, 8, "memory"),
        ("MASH_REST_C", 35, 79, "common practice"),
        ("BOIL_MIN", 45, 120, "common practice"),
        ("EVAPORATION_PCT", 2, 15, "common practice"),
        ("WHIRLPOOL_MIN", 10, 45, "common practice"),
        ("PITCHING_C", 4, 24, "common practice"),
        ("APPARENT_ATTENUATION_PCT", 60, 90, "common practice"),
        ("BREWHOUSE_YIELD_PCT", 60, 85, "common practice"),
    ],
)
def test_each_band_is_as_published(name, least, most, source):
    band = BANDS[name]
    assert (band.least, band.most) == (least, most)
    assert source in band.source
    assert band.doubt(least) == band.doubt(most) == ""
    assert "is unusual" in band.doubt(least - 1)
    assert "is unusual" in band.doubt(most + 1)


def test_every_rest_and_boil_of_a_source_is_usual_in_a_log():
    for name in ("PROTEIN_REST_C", "MALTOSE_REST_C", "SACCHARIFICATION_C", "MASH_OFF_C"):
        assert process.MASH_REST_C.least <= BANDS[name].least <= BANDS[name].most <= process.MASH_REST_C.most
    # A single infusion of about 68 °C: hobbybrauer-kompendium.de.
    assert process.MASH_REST_C.doubt(68) == ""
    # Boils of a little over 60 and of 90 minutes: Oxford Companion to Beer, evaporation rate.
    assert process.BOIL_MIN.doubt(60) == process.BOIL_MIN.doubt(90) == ""


def test_extract_that_rises_by_itself_is_doubted():
    # 0.3 °P: common practice, no source.
    assert process.extract_rise_doubt(5.0, 5.3) == ""
    assert process.extract_rise_doubt(5.0, 2.1) == ""
    assert process.extract_rise_doubt(5.0, 5.4) == (
        "Extract rose from 5 to 5.4 °P and nothing was added by the record. "
        "Look up the reading, or book what was added."
    )
