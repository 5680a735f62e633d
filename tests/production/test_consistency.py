"""Consistency over brews: the figures with their limits, what was predicted, and which lots changed."""

import pytest

from brewery.production.queries.consistency import changes_between, consistency_of
from brewery.production.services.work import draw_for
from tests.brewhouse import START, Brewhouse, at
from tests.inventory.laboratory import Laboratory
from tests.production.brewday import brew_by, reading, sheet_of, write
from tests.standing import built_once

DAY = 24
GRAVITIES = ("12.0", "11.8", "12.2", "12.1")


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """Four brews by one sheet, B1 to B4, a week apart; from B3 on the malt is M2."""
    for lot in ("M1", "M2"):
        brewhouse.deliver("PILS", lot, "1000 kg", note=lot)
    brewhouse.deliver("SAAZ", "H1", "20 kg", supplier="HOPYARD")
    Laboratory(brewhouse).enter("H1", values={"alpha": "4"}, number="A-1", issued_on=START.date())
    sheet = sheet_of(brewhouse)
    for number, gravity in enumerate(GRAVITIES, 1):
        begun = number * 7 * DAY
        brew = brew_by(brewhouse, sheet, f"B{number}", hours=begun)
        lines = [("M1" if number < 3 else "M2", "STORE", "200 kg"), ("H1", "STORE", "2.5 kg")]
        draw_for(work=brew, parts=brewhouse.parts(lines), happened_at=at(begun), **brewhouse.by("brewing"))
        for line in (
            reading("knock_out", "gravity", gravity),
            reading("knock_out", "volume", "1000"),
            reading("finished", "gravity", "3"),
            reading("finished", "bitterness", f"{28 + number}"),
        ):
            write(brewhouse, brew, line, hours=begun + 9)
    return brewhouse


def test_each_figure_has_limits_of_individuals_and_moving_ranges(house: Brewhouse):
    told = consistency_of(house.material("LAGER"))
    gravity = next(one for one in told.series if one.key == "original_gravity")
    assert gravity.values == (12.0, 11.8, 12.2, 12.1)
    assert gravity.limits
    # mean 12.025; ranges 0.2, 0.4, 0.1: mean 0.2333; 2.660 and 3.267 are the textbooks' constants (memory).
    assert gravity.limits.mean == pytest.approx(12.025)
    assert gravity.limits.high == pytest.approx(12.025 + 2.660 * 0.23333, abs=1e-3)
    assert gravity.limits.most_range == pytest.approx(3.267 * 0.23333, abs=1e-3)
    assert gravity.ranges == (None, pytest.approx(0.2), pytest.approx(0.4), pytest.approx(0.1))


def test_yield_attenuation_and_bitterness_are_told_of_every_brew(house: Brewhouse):
    told = {one.key: one for one in consistency_of(house.material("LAGER")).series}
    # 10 hL of 12 °P hold 125.6 kg of extract (ASBC table), of 200 kg of malt.
    assert told["yield"].values[0] == pytest.approx(62.8, abs=0.1)
    assert told["attenuation"].values[0] == pytest.approx(75)
    assert told["bitterness"].values == (29, 30, 31, 32)


def test_predicted_bitterness_is_of_the_hops_that_were_drawn(house: Brewhouse):
    told = {one.key: one for one in consistency_of(house.material("LAGER")).series}
    # 100 g of alpha in 10 hL are 100 mg/L; 60 min in a boil of 11.64 °P use 0.237 of it (Tinseth's table).
    assert told["bitterness"].compared == pytest.approx((23.7,) * 4, abs=0.1)


def test_less_than_three_values_have_no_limits(brewhouse: Brewhouse):
    brew = brew_by(brewhouse, None)
    write(brewhouse, brew, reading("knock_out", "gravity", "12"))
    told = consistency_of(brewhouse.material("LAGER"))
    assert [one.limits for one in told.series] == [None] * 4


def test_which_lots_changed_between_two_brews(house: Brewhouse):
    told = consistency_of(house.material("LAGER"))
    changed = [(change.before.code, change.after.code, len(change.lots)) for change in told.changes]
    assert changed == [("B1", "B2", 0), ("B2", "B3", 1), ("B3", "B4", 0)]
    (lots,) = changes_between(house.brew("B1"), house.brew("B4")).lots
    assert (lots.material.code, [lot.code for lot in lots.before], [lot.code for lot in lots.after]) == (
        "PILS",
        ["M1"],
        ["M2"],
    )


def test_brews_are_told_in_the_same_number_of_statements_however_many(house: Brewhouse, django_assert_max_num_queries):
    with django_assert_max_num_queries(25):
        consistency_of(house.material("LAGER"))
