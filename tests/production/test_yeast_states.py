"""Yeast on a day: what was counted, what is alive by the warmth of its stays since, and what its strain is held to."""

from itertools import pairwise

import pytest
from django.db import IntegrityError, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brewery.kernel.errors import DomainError, InvalidInput
from brewery.production.models import StrainSetting
from brewery.production.queries.strains import USUAL, strains_on
from brewery.production.queries.yeast_states import YeastState, states_of
from brewery.production.services.draw_refusals import BestBeforeOver, StoredTooLong, ViabilityTooLow, YeastTooOld
from brewery.production.services.pitches import pitch
from brewery.production.services.strains import set_strain
from brewery.science.storage import Stay
from brewery.science.viability import viability_after_pct
from inventory.models import Event, Location
from inventory.services.refusals import WrongMaterial
from tests.brewhouse import START, Brewhouse, at, micro
from tests.inventory.laboratory import Laboratory
from tests.ledger import refused
from tests.standing import built_once

DAY = 24
MIDNIGHT = 15
"""Hours from `START`, 9 o'clock by the brewery, to the end of that day."""


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """1000 L of wort lie in FV1; Y1 of generation 1, 97 % alive on the first day, lies in the cold store."""
    brewhouse.stock_up()
    brew = brewhouse.start_brew("B1", hours=1)
    brewhouse.draw(brew, ("M1", "SILO1", "200 kg"), hours=1)
    brewhouse.knock_out(brew, "W1", {"FV1": "1000 L"}, hours=8)
    count(brewhouse, "Y1", "97")
    return brewhouse


def count(house: Brewhouse, lot: str, viability: str, **more: str) -> None:
    Laboratory(house).enter(lot, values={"viability": viability, **more}, number="V-1", issued_on=START.date())


def keep_at(place: str, degrees: int | None) -> None:
    Location.objects.filter(code=place).update(nominal_milli_c=None if degrees is None else degrees * 1000)


def state(house: Brewhouse, lot: str = "Y1", place: str = "COLD", *, hours: float) -> YeastState:
    (found,) = states_of([(house.lot(lot), house.place(place))], at(hours))
    return found


def hold_to(house: Brewhouse, **asked: object) -> StrainSetting:
    facts = {
        "last_generation": 5,
        "least_viability_micro": micro("90 each"),
        "most_days": 7,
        "rate_micro": micro("1.5 each"),
        "in_force_from": START.date(),
        **asked,
    }
    return set_strain(material=house.material("YEAST"), **facts, **house.by("quality"))  # type: ignore[arg-type]


def pitched(house: Brewhouse, lot: str = "Y1", place: str = "COLD", *, hours: float = 9, override: str = "") -> Event:
    return pitch(
        vessel=house.place("FV1"),
        beer=house.material("LAGER"),
        contents_code="T1",
        yeasts=house.parts([(lot, place, "10 kg")]),
        happened_at=at(hours),
        override_reason=override,
        **house.by("quality" if override else "brewing"),
    )


# Viability


def test_a_count_holds_for_its_day(house: Brewhouse):
    keep_at("COLD", 1)
    told = state(house, hours=12)
    assert (told.viability_pct, told.is_predicted, told.why) == (97, False, "by certificate V-1 of 2026-03-02")


# McCaig and Bendiak, MBAA Technical Quarterly 1985: 7 % lost in 6 days at 1 °C, 14 % at 5 °C.
@pytest.mark.parametrize(("degrees", "kept"), [(1, 0.93), (5, 0.86)])
def test_what_is_alive_falls_by_days_and_warmth(house: Brewhouse, degrees: int, kept: float):
    keep_at("COLD", degrees)
    told = state(house, hours=MIDNIGHT + 6 * DAY)
    assert told.viability_pct == pytest.approx(97 * kept, rel=1e-9)
    assert told.why == "as predicted from 97 % by certificate V-1 of 2026-03-02 and 6.0 days in store since"


def test_every_place_counts_for_its_own_days(house: Brewhouse):
    keep_at("COLD", 1)
    keep_at("BRINK1", 5)
    house.move("Y1", "COLD", "BRINK1", "20 kg", hours=MIDNIGHT + 6 * DAY)
    told = state(house, place="BRINK1", hours=MIDNIGHT + 12 * DAY)
    assert told.viability_pct == pytest.approx(97 * 0.93 * 0.86, rel=1e-9)


def test_a_move_within_equal_warmth_changes_nothing(house: Brewhouse):
    keep_at("COLD", 3)
    keep_at("BRINK1", 3)
    house.move("Y1", "COLD", "BRINK1", "20 kg", hours=MIDNIGHT + 31.7)
    moved, stayed = (state(house, place=place, hours=MIDNIGHT + 100).viability_pct for place in ("BRINK1", "COLD"))
    assert moved == pytest.approx(stayed, rel=1e-12)


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(days=st.integers(0, 60), degrees=st.integers(-5, 25), cuts=st.lists(st.integers(0, 100), max_size=6))
def test_splitting_a_stay_changes_no_prediction(days: int, degrees: int, cuts: list[int]):
    marks = [0, *sorted(cuts), 100]
    parts = [Stay(days * (end - start) / 100, degrees) for start, end in pairwise(marks)]
    assert viability_after_pct(97, parts) == pytest.approx(viability_after_pct(97, [Stay(days, degrees)]), rel=1e-9)


def test_where_it_is_not_known_how_warm_it_lay_the_count_stands(house: Brewhouse):
    keep_at("COLD", None)
    told = state(house, hours=MIDNIGHT + 6 * DAY)
    assert (told.viability_pct, told.is_predicted) == (97, False)
    assert told.why.endswith("how warm Cold store is kept is not known, so the count stands")


def test_a_later_count_takes_the_place_of_the_prediction(house: Brewhouse):
    keep_at("COLD", 5)
    day = at(6 * DAY)
    Laboratory(house).enter("Y1", values={"viability": "93"}, number="V-2", issued_on=day.date())
    assert state(house, hours=6 * DAY + 4).viability_pct == 93


def test_what_was_never_counted_is_not_guessed(house: Brewhouse):
    house.deliver("YEAST", "Y2", "10 kg", "COLD", note="2")
    told = state(house, "Y2", hours=9)
    assert (told.viability_pct, told.is_doubtful, told.is_fit) == (None, True, True)
    assert told.next_step == "Count it before it is pitched."


@pytest.mark.parametrize(("found", "infected"), [("99", False), ("100", True)])  # Richards, J. Inst. Brew. 1968
def test_a_hundred_wild_cells_in_a_million_are_too_many(house: Brewhouse, found: str, infected: bool):
    Laboratory(house).enter("Y1", values={"wild_yeast": found}, number="V-2", issued_on=START.date())
    assert state(house, hours=9).is_infected is infected


# What a strain is held to


def test_a_strain_without_settings_is_held_to_the_usual(house: Brewhouse):
    yeast = house.material("YEAST").pk
    assert strains_on([yeast], START.date()) == {yeast: USUAL}
    assert (USUAL.last_generation, USUAL.least_viability_pct, USUAL.most_days, USUAL.rate) == (10, 85, 14, 1)


def test_the_last_setting_in_force_counts(house: Brewhouse):
    hold_to(house)
    hold_to(house, last_generation=6)
    hold_to(house, last_generation=3, in_force_from=at(10 * DAY).date())
    yeast = house.material("YEAST").pk
    told = [strains_on([yeast], at(hours).date())[yeast].last_generation for hours in (-DAY, 0, 10 * DAY)]
    assert told == [10, 6, 3]


def test_only_yeast_is_a_strain(house: Brewhouse):
    with refused(WrongMaterial, "Saaz is a hop; this needs yeast.", field="material"):
        set_strain(
            material=house.material("SAAZ"),
            last_generation=5,
            least_viability_micro=0,
            most_days=7,
            rate_micro=1_000_000,
            in_force_from=START.date(),
            **house.by("quality"),
        )


@pytest.mark.parametrize(
    ("field", "asked"),
    [
        ("last_generation", {"last_generation": 0}),
        ("least_viability", {"least_viability_micro": micro("100.1 each")}),
        ("most_days", {"most_days": 366}),
        ("rate", {"rate_micro": micro("0.09 each")}),
        ("harvest_from_days", {"harvest_from_days": 400}),
        ("harvest_until_days", {"harvest_from_days": 8, "harvest_until_days": 7}),
    ],
)
def test_a_setting_that_cannot_be_is_refused(house: Brewhouse, field: str, asked: dict[str, int]):
    with pytest.raises(InvalidInput) as caught:
        hold_to(house, **asked)
    assert caught.value.field == field


@pytest.mark.parametrize("change", ["update", "delete"])
def test_a_setting_stays_as_it_was_written(house: Brewhouse, change: str):
    hold_to(house)
    rows = StrainSetting.objects.all()
    name = {"update": "settings_of_strains_are_never_changed", "delete": "settings_of_strains_are_never_deleted"}[
        change
    ]
    with pytest.raises(IntegrityError, match=name), transaction.atomic():
        _ = rows.update(last_generation=9) if change == "update" else rows.delete()


# The pitch


def unfit(house: Brewhouse, error: type[DomainError], words: str, lot: str = "Y1", *, hours: float = 9) -> None:
    """Without an override it is refused with these words; with one it is done."""
    with refused(error, words, field="lot"):
        pitched(house, lot, hours=hours)
    assert pitched(house, lot, hours=hours, override="nothing else is there").override_reason


def test_too_old_a_generation_is_not_pitched(house: Brewhouse):
    hold_to(house)
    house.deliver("YEAST", "Y6", "20 kg", "COLD", note="2", generation=6)
    unfit(house, YeastTooOld, "Lot Y6 is of generation 6; here 5 is the last that is used.", "Y6")


def test_yeast_past_its_day_is_not_pitched(house: Brewhouse):
    house.deliver("YEAST", "Y2", "20 kg", "COLD", note="2", best_before=at(0).date())
    unfit(house, BestBeforeOver, "Lot Y2 was best before 2026-03-02, and it is drawn on 2026-03-03.", "Y2", hours=30)


def test_yeast_that_has_died_in_store_is_not_pitched(house: Brewhouse):
    keep_at("COLD", 5)
    words = (
        "Of lot Y1, 83.4 % is alive as predicted from 97 % by certificate V-1 of 2026-03-02 and 6.0 days in store "
        "since; 85 % is the least."
    )
    unfit(house, ViabilityTooLow, words, hours=MIDNIGHT + 6 * DAY)


def test_a_crop_is_not_stored_longer_than_its_strain_bears(house: Brewhouse):
    pitched(house)
    house.harvest("FV1", "20 L", "Y2", "22 kg", hours=5 * DAY)
    brew = house.start_brew("B2", hours=6 * DAY)
    house.draw(brew, ("M1", "SILO1", "100 kg"), hours=6 * DAY)
    house.knock_out(brew, "W2", {"FV2": "500 L"}, hours=6 * DAY)
    house.pitch("FV2", "T2", ("Y2", "BRINK1", "5 kg"), hours=19 * DAY)
    words = "Lot Y2 was harvested 15 days before; here 14 days are the most that a crop is stored."
    with refused(StoredTooLong, words, field="lot"):
        house.pitch("FV2", "T3", ("Y2", "BRINK1", "5 kg"), hours=20 * DAY)
