"""Alpha acids of a hop lot on a day: by its certificate, and by the model where it is known how warm it lay."""

import math
from datetime import date

import pytest

from brewery.science.cultivars import CULTIVARS
from brewery.science.hops import STORAGE_LAW
from inventory.models import Location
from inventory.queries.hop_alpha import AlphaToday, alphas_of
from inventory.queries.hop_facts import cultivar_of
from tests.brewhouse import START, Brewhouse, at
from tests.inventory.laboratory import Laboratory
from tests.standing import built_once

DAY = 24


@built_once
def hops(brewhouse: Brewhouse) -> Brewhouse:
    """H1 of 4 % alpha came on day 0 into the store."""
    brewhouse.deliver("SAAZ", "H1", "20 kg", supplier="HOPYARD")
    Laboratory(brewhouse).enter("H1", values={"alpha": "4"}, number="A-7", issued_on=START.date())
    return brewhouse


def keep_at(place: str, degrees: float | None) -> None:
    Location.objects.filter(code=place).update(nominal_milli_c=None if degrees is None else round(degrees * 1000))


def alpha(house: Brewhouse, days: float, place: str = "STORE") -> AlphaToday:
    (found,) = alphas_of([(house.lot("H1"), house.place(place), at(days * DAY))])
    assert found
    return found


def expected(*stays: tuple[float, float], protection: float = 1) -> float:
    """The model by hand: rate of Saaz, 51 % kept after 180 days (USDA-ARS 21077), halved for 15 °C (Garetz)."""
    rate = -math.log(0.51) / 180
    return 4 * math.exp(-rate * protection * sum(2 ** ((degrees - 20) / 15) * days for days, degrees in stays))


def test_alpha_falls_by_exactly_what_the_model_says(hops: Brewhouse):
    keep_at("STORE", 20)
    told = alpha(hops, 120)
    assert told.alpha_pct == pytest.approx(expected((120, 20)), rel=1e-9)
    assert told.factor == pytest.approx(math.exp(math.log(0.51) * 120 / 180), rel=1e-9)
    assert (told.certified_pct, told.assayed_on, told.days) == (4, date(2026, 3, 2), pytest.approx(120))
    assert told.why.startswith("4 % by certificate A-7 of 2026-03-02; 120 days in store, as 120 at 20 °C in the open")


def test_every_place_in_which_it_lay_counts_for_its_own_days(hops: Brewhouse):
    keep_at("STORE", 20)
    keep_at("COLD", 5)
    hops.move("H1", "STORE", "COLD", "15 kg", hours=30 * DAY)
    assert alpha(hops, 120, "COLD").alpha_pct == pytest.approx(expected((30, 20), (90, 5)), rel=1e-9)
    # What stayed behind was warm all the time.
    assert alpha(hops, 120, "STORE").alpha_pct == pytest.approx(expected((120, 20)), rel=1e-9)


def test_a_barrier_slows_it_down(hops: Brewhouse):
    keep_at("STORE", 20)
    Laboratory(hops).enter("H1", values={"pack": "barrier under vacuum"}, number="A-8")
    assert alpha(hops, 120).alpha_pct == pytest.approx(expected((120, 20), protection=0.5), rel=1e-9)


def test_a_move_that_was_reversed_never_happened(hops: Brewhouse):
    keep_at("STORE", 20)
    hops.reverse(hops.move("H1", "STORE", "COLD", "20 kg", hours=30 * DAY))
    assert alpha(hops, 120).alpha_pct == pytest.approx(expected((120, 20)), rel=1e-9)


def test_where_the_warmth_is_not_known_the_certificate_stands_and_says_so(hops: Brewhouse):
    told = alpha(hops, 120)
    assert (told.alpha_pct, told.factor, told.is_modelled) == (4, 1, False)
    assert told.why == (
        "4 % by certificate A-7 of 2026-03-02; how warm Dry store is kept is not known, so the certificate stands"
    )


def test_a_newer_assay_takes_over_from_its_day_on(hops: Brewhouse):
    keep_at("STORE", 20)
    Laboratory(hops).enter("H1", values={"alpha": "3.1"}, number="A-9", issued_on=date(2026, 3, 3))
    told = alpha(hops, 1.5)
    # From the start of 3 March in Berlin, an hour before midnight in UTC: 21 hours.
    assert told.days == pytest.approx(21 / 24)
    assert told.alpha_pct == pytest.approx(3.1 / 4 * expected((21 / 24, 20)), rel=1e-9)


def test_a_lot_without_an_assay_has_no_alpha(hops: Brewhouse):
    hops.deliver("CASCADE", "H2", "20 kg", note="2")
    assert alphas_of([(hops.lot("H2"), hops.place("STORE"), at(DAY))]) == [None]


def test_an_extract_stands_by_its_certificate(hops: Brewhouse):
    keep_at("STORE", 20)
    Laboratory(hops).enter("H1", values={"form": "extract"}, number="A-8")
    told = alpha(hops, 120)
    assert (told.alpha_pct, told.is_modelled) == (4, False)
    assert "No rate of it is published here" in told.why


@pytest.mark.parametrize(
    ("name", "cultivar"),
    [("Saaz", "Saaz"), ("Saaz, pellets 90", "Saaz"), ("Tettnanger US 2025", "Tettnanger US"), ("Perle", None)],
)
def test_a_material_is_known_by_the_cultivar_in_its_name(name: str, cultivar: str | None):
    assert cultivar_of(name) == (CULTIVARS[cultivar] if cultivar else None)


def test_the_law_is_that_of_the_science():
    assert (STORAGE_LAW.times, STORAGE_LAW.every_k, STORAGE_LAW.reference_c) == (2, 15, 20)
