"""Two people at once: a draw that races a hold is either refused or under it, with what is made of it."""

import pytest

from inventory.models import Lot
from tests.brewhouse import Brewhouse
from tests.concurrency.test_decisions import at_once
from tests.traceability.test_holds import hold
from traceability.models import HeldLot

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def test_what_is_made_while_a_hold_is_placed_is_held_or_not_made(brewhouse: Brewhouse):
    """Three worts are knocked out of M1 while M1 is held: whichever comes first, no wort of it is free."""
    house = brewhouse
    house.stock_up()
    brews = [house.start_brew(f"B{number}", hours=number) for number in range(1, 4)]
    for brew in brews:
        house.draw(brew, ("M1", "SILO1", "10 kg"), hours=5)
    knocks = [
        lambda brew=brew, vessel=vessel: house.knock_out(brew, f"W-{brew.code}", {vessel: "50 L"}, hours=20)
        for brew, vessel in zip(brews, ("FV1", "FV2", "BT1"), strict=True)
    ]
    outcomes = at_once(lambda: hold(house, "M1"), *knocks)
    assert set(outcomes) <= {"done", "LotNotReleased"}
    made = set(Lot.objects.filter(code__startswith="W-").values_list("pk", flat=True))
    assert made <= set(HeldLot.objects.values_list("lot", flat=True))
    assert not Lot.objects.filter(pk__in=made, disposition="released").exists()
