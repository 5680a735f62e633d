"""Cultivars: rates from published shares of alpha acids kept for six months."""

import pytest

from brewery.science.cultivars import CULTIVARS

CAUSE_OF_DOUBT = {"Cascade", "Eroica", "Northern Brewer", "Hallertauer mittelfrüh"}


# Shares kept: USDA-ARS World Hop Cultivar Collection, one page an accession; the rates follow over 180 days.
@pytest.mark.parametrize(
    ("name", "rate"),
    [
        ("Cascade", 0.005091),
        ("Hallertauer Gold", 0.004195),
        ("Saaz", 0.003741),
        ("Hallertauer mittelfrüh", 0.003423),
        ("Tettnanger", 0.003123),
        ("Hersbrucker E", 0.003026),
        ("Hersbrucker red-stem", 0.002838),
        ("Précoce de Bourgogne", 0.002746),
        ("Eroica", 0.002746),
        ("Southern Brewer", 0.001982),
        ("Tettnanger US", 0.001982),
        ("Hersbrucker Pure", 0.001903),
        ("Fuggle", 0.001598),
        ("Northern Brewer", 0.001380),
        ("Galena", 0.00124),
    ],
)
def test_the_rate_is_that_of_what_was_kept(name, rate):
    assert CULTIVARS[name].rate_per_day.value == pytest.approx(rate, abs=1e-6)


def test_what_keeps_more_than_nine_tenths_is_slower_than_the_rate_of_a_tenth():
    # USDA-ARS, accession 21670: more than 90 % kept.
    assert CULTIVARS["Hallertauer Magnum"].rate_per_day.high == pytest.approx(0.000585, abs=1e-6)


def test_sources_that_disagree_widen_the_interval():
    # Cascade: 40 % by USDA-ARS, 48 to 52 % by probrewer.com.
    rate = CULTIVARS["Cascade"].rate_per_day
    assert rate.value == rate.high
    assert rate.low == pytest.approx(0.003633, abs=1e-6)
    assert {name for name, one in CULTIVARS.items() if len(one.kept) > 1} == CAUSE_OF_DOUBT


def test_every_figure_names_its_source_and_no_cultivar_lacks_one():
    for cultivar in CULTIVARS.values():
        assert all(kept.source and 0 < kept.least_pct <= kept.most_pct <= 100 for kept in cultivar.kept)
        assert cultivar.alpha_pct is None or 0 < cultivar.alpha_pct[0] < cultivar.alpha_pct[1] < 20
