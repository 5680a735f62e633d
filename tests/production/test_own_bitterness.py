"""A brewery's own brews correct the table: what they measured of what was foretold, and how much it scatters."""

import pytest

from brewery.production.queries.own_bitterness import own_ratio
from brewery.production.queries.sheet_view import view_of
from brewery.production.queries.sheets import sheet_in_use
from brewery.production.services.work import draw_for
from tests.brewhouse import START, Brewhouse, at
from tests.inventory.laboratory import Laboratory
from tests.production.brewday import brew_by, reading, sheet_of, write


def brewed(house: Brewhouse, *measured: str) -> Brewhouse:
    """One brew for each measured bitterness, all by one sheet with the same hops."""
    house.deliver("SAAZ", "H1", "50 kg", supplier="HOPYARD")
    Laboratory(house).enter("H1", values={"alpha": "4"}, number="A-1", issued_on=START.date())
    sheet = sheet_of(house)
    for number, bitterness in enumerate(measured, 1):
        brew = brew_by(house, sheet, f"B{number}", hours=number)
        parts = house.parts([("H1", "STORE", "2.5 kg")])
        draw_for(work=brew, parts=parts, happened_at=at(number), **house.by("brewing"))
        write(house, brew, reading("finished", "bitterness", bitterness), hours=number + 1)
    return house


def test_three_brews_tell_what_to_expect_of_the_next(brewhouse: Brewhouse):
    """100 mg/L of alpha at 0.237 of Tinseth's table are 23.7; mean and scatter of 18, 19 and 20 of that.

    The interval of one more value: t of 2 degrees of freedom, 4.303, times s, times sqrt(1 + 1/3) (textbooks; memory).
    """
    brewed(brewhouse, "18", "19", "20")
    own = own_ratio(brewhouse.material("LAGER"))
    assert own
    assert own.value == pytest.approx(19 / 23.7, rel=5e-3)
    assert own.high - own.value == pytest.approx(4.303 * (1 / 23.7) * (4 / 3) ** 0.5, rel=1e-2)


def test_fewer_than_three_brews_leave_the_table_as_it_is(brewhouse: Brewhouse):
    brewed(brewhouse, "18", "19")
    assert own_ratio(brewhouse.material("LAGER")) is None


def test_the_sheet_foretells_by_its_own_brews_and_says_so(brewhouse: Brewhouse):
    brewed(brewhouse, "18", "19", "20")
    sheet = sheet_in_use(brewhouse.material("LAGER"))
    assert sheet
    told = {one.key: one for one in view_of(sheet, START.date()).predictions}["bitterness"]
    assert told.value == pytest.approx(19, rel=0.02)
    assert "Of that the brews of this beer measured 0.8" in told.reason
