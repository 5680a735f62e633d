"""When yeast is harvested: not before the end of the fermentation, nor outside of the strain's days or generations."""

from uuid import uuid4

import pytest

from brewery.kernel.errors import NotAllowed
from brewery.production.services.harvest_rules import CropTooOld, HarvestTooEarly, OutsideTheHarvestWindow
from brewery.production.services.strains import set_strain
from inventory.models import Balance, Event
from inventory.services.refusals import VesselNotClean
from tests.brewhouse import START, Brewhouse, micro
from tests.ledger import links, refused
from tests.production.cellar import ENDED, FALLING, fermenting, gravities
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """T1, 1000 L pitched at hour 10, ferments in FV1."""
    fermenting(brewhouse)
    return brewhouse


def held_to(house: Brewhouse, **limits: int | None) -> None:
    asked = {"last_generation": 10, "least_viability_micro": 85_000_000, "most_days": 14, "rate_micro": 1_000_000}
    set_strain(
        material=house.material("YEAST"),
        in_force_from=START.date(),
        actor=house.people["quality"],
        request_id=uuid4(),
        **asked | limits,
    )


def harvest(house: Brewhouse, hours: float, **options: str) -> Event:
    return house.harvest("FV1", "20 L", "Y2", "22 kg", hours=hours, is_reported=False, **options)


def test_before_the_end_the_refusal_says_the_last_gravity_and_when_the_end_is_expected(house: Brewhouse):
    gravities(house, FALLING)
    words = (
        "Fermenter 1 is not known to have ended its fermentation: .* "
        "Gravity 2.8 °P was read last, at 2026-03-07 19:00; the end is expected at 2026-03-"
    )
    with pytest.raises(HarvestTooEarly, match=words):
        harvest(house, 132)


def test_what_nobody_read_has_not_ended(house: Brewhouse):
    words = "It takes two readings of gravity to tell. No gravity was read; when it ends cannot be told yet."
    with pytest.raises(HarvestTooEarly, match=words):
        harvest(house, 203)


def test_once_it_has_ended_it_is_harvested(house: Brewhouse):
    gravities(house, ENDED)
    assert harvest(house, 203).override_reason == ""


def test_what_was_read_later_does_not_count(house: Brewhouse):
    gravities(house, ENDED)
    with pytest.raises(HarvestTooEarly):
        harvest(house, 133)


def test_who_may_override_says_why_and_it_stays_on_record(house: Brewhouse):
    event = harvest(house, 60, role="quality", override="skimmed from the top")
    assert event.override_reason == "skimmed from the top"
    with pytest.raises(NotAllowed):
        house.harvest("FV1", "1 L", "Y3", "1 kg", "COLD", hours=61, is_reported=False, override="me too")


@pytest.mark.parametrize(
    ("limits", "window"),
    [
        ({"harvest_from_days": 9}, "from day 9 on"),
        ({"harvest_until_days": 7}, "until day 7"),
        ({"harvest_from_days": 9, "harvest_until_days": 12}, "from day 9 to day 12"),
    ],
)
def test_outside_of_the_strains_days_it_is_refused(house: Brewhouse, limits: dict[str, int], window: str):
    gravities(house, ENDED)
    held_to(house, **limits)
    sentence = f"Fermenter 1 was pitched 8.0 days before; Lager yeast is harvested {window} after the pitch."
    with refused(OutsideTheHarvestWindow, sentence, field="happened_at"):
        harvest(house, 203)


def test_a_crop_past_the_last_generation_is_refused(house: Brewhouse):
    gravities(house, ENDED)
    held_to(house, last_generation=1)
    sentence = "A crop of Fermenter 1 would be of generation 2; of Lager yeast, 1 is the last that is used."
    with refused(CropTooOld, sentence, field="vessel"):
        harvest(house, 203)


def test_an_uncleaned_brink_asks_why_and_what_lay_there_is_carried_over(house: Brewhouse):
    gravities(house, ENDED)
    house.move("Y1", "COLD", "BRINK1", "1 kg", hours=100)
    house.move("Y1", "BRINK1", "COLD", "1 kg", hours=101)
    with pytest.raises(VesselNotClean):
        harvest(house, 203)
    assert ("Y1", "Y2", "carryover", "0 kg") in links(harvest(house, 203, unclean="rinsed only"))


def test_a_harvest_that_is_reversed_leaves_the_ledger_as_before(house: Brewhouse):
    def held() -> set[tuple[int, int, int]]:
        rows = Balance.objects.filter(location__party=None).exclude(quantity_micro=0)
        return set(rows.values_list("lot", "location", "quantity_micro"))

    gravities(house, ENDED)
    before = held()
    event = harvest(house, 203)
    assert held() != before
    house.reverse(event)
    assert held() == before
    assert house.held("T1", "FV1") == micro("1000 L")
