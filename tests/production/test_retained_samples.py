"""Retained samples leave the saleable stock for a shelf of the laboratory, and are thrown away in time."""

from datetime import date

import pytest

from brewery.kernel.errors import InvalidInput
from brewery.production.models import RetainedSample
from brewery.production.queries.retained_samples import kept_samples, samples_to_throw_away
from brewery.production.services.refusals import SampleIsGone
from brewery.production.services.retained_samples import retain_sample, throw_away_sample
from inventory.services.refusals import NotEnoughThere, ReasonMissing, WrongMaterial, WrongPlace
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import refused
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """10 kegs of KEG1 lie in the cold store."""
    brewhouse.stock_up()
    brewhouse.ferment()
    run = brewhouse.start_run("R1", hours=100)
    brewhouse.draw(run, ("K1", "STORE", "25 each"), hours=100)
    brewhouse.package(run, "FV1", "KEG1", 10, hours=102)
    return brewhouse


def retain(house: Brewhouse, **facts: object) -> RetainedSample:
    given = {
        "lot": house.lot("KEG1"),
        "from_location": house.place("COLD"),
        "location": house.place("LAB"),
        "shelf": "B2",
        "count": 2,
        "keep_until": date(2026, 3, 20),
        "happened_at": at(103),
        **facts,
    }
    return retain_sample(**given, **house.by("quality"))


def throw(house: Brewhouse, sample: RetainedSample, hours: float, reason: str = "") -> None:
    throw_away_sample(sample=sample, reason=reason, happened_at=at(hours), **house.by("quality"))


def test_a_retained_sample_is_no_stock_to_sell(house: Brewhouse):
    sample = retain(house)
    assert (house.held("KEG1", "COLD"), house.held("KEG1", "LAB")) == (micro("8 each"), micro("2 each"))
    assert list(kept_samples()) == [sample]


def test_the_list_of_what_may_go_names_it_after_its_day(house: Brewhouse):
    sample = retain(house)
    assert not samples_to_throw_away(date(2026, 3, 20)).exists()
    assert list(samples_to_throw_away(date(2026, 3, 21))) == [sample]


def test_a_sample_is_thrown_away_once(house: Brewhouse):
    sample = retain(house)
    throw(house, sample, 500)
    assert house.held("KEG1", "LAB") == 0
    assert not kept_samples().exists()
    sentence = "The retained sample of lot KEG1 was thrown away or recorded by mistake."
    with refused(SampleIsGone, sentence, field="sample"):
        throw(house, sample, 501)


def test_a_sample_goes_before_its_day_only_for_a_reason(house: Brewhouse):
    sample = retain(house)
    with pytest.raises(ReasonMissing):
        throw(house, sample, 104)
    throw(house, sample, 104, "burst")


def test_a_disposal_that_was_reversed_no_longer_counts(house: Brewhouse):
    sample = retain(house)
    throw(house, sample, 500)
    house.reverse(sample.disposals.get().event)
    assert list(kept_samples()) == [sample]


@pytest.mark.parametrize(
    ("facts", "error"),
    [
        ({"count": 0}, InvalidInput),
        ({"count": 11}, NotEnoughThere),
        ({"keep_until": date(2026, 3, 5)}, InvalidInput),
        ({"shelf": "x" * 41}, InvalidInput),
    ],
)
def test_samples_that_cannot_be_are_refused(house: Brewhouse, facts: dict[str, object], error: type[Exception]):
    with pytest.raises(error):
        retain(house, **facts)


def test_only_packaged_beer_is_retained_and_only_in_a_laboratory(house: Brewhouse):
    with pytest.raises(WrongMaterial):
        retain(house, lot=house.lot("T1"), from_location=house.place("FV1"))
    with pytest.raises(WrongPlace):
        retain(house, location=house.place("STORE"))
